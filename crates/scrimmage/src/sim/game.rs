//! A game between two invented teams, drive by drive: what the scoreboard said before each pass play of the home team, and the
//! plays themselves.

use super::callsheet::{CallSheet, Picture};
use super::dice::Dice;
use super::engine;
use super::flight::{Air, DRAG_HIGH, DRAG_LOW};
use super::plane::Place;
use super::script::Script;
use super::season::{game_seed, visitors};
use super::teams::{self, Team};
use super::world::{Outcome, World};
use field::{Direction, RuleBook};
use serde::{Deserialize, Serialize};

/// Where the ball lies across the field, seen from the sideline at y = 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "plain words")]
pub enum HashSpot {
    Near,
    Middle,
    Far,
}

impl HashSpot {
    fn y(self, book: RuleBook) -> f64 {
        match self {
            Self::Near => book.hash_from_sideline(),
            Self::Middle => book.width() / 2.0,
            Self::Far => book.far_hash(),
        }
    }
    fn nearest(y: f64, book: RuleBook) -> Self {
        let near = |s: Self| (s.y(book) - y).abs();
        [Self::Near, Self::Middle, Self::Far]
            .into_iter()
            .min_by(|a, b| near(*a).total_cmp(&near(*b)))
            .expect("three spots")
    }
}

/// What the scoreboard and the chains say before a snap.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Scene {
    /// 1 to 4.
    pub quarter: u8,
    /// Left in the quarter, s.
    pub clock_s: f64,
    /// 1 to 4.
    pub down: u8,
    /// To the line to gain, yd.
    pub distance: f64,
    /// From the offense's own goal line, yd, 1 to 99.
    pub own: f64,
    /// Hash.
    pub hash: HashSpot,
    /// Which way the offense goes.
    pub direction: Direction,
    /// Points of the home and the away team.
    pub score: [i32; 2],
    /// The home team has the ball.
    pub home_ball: bool,
}

impl Scene {
    /// x of the ball in the field frame, yd.
    pub fn line_x(&self) -> f64 {
        match self.direction {
            Direction::Up => self.own,
            Direction::Down => 100.0 - self.own,
        }
    }
    /// The spot and direction.
    pub fn place(&self, book: RuleBook) -> Place {
        Place { spot: (self.line_x(), self.hash.y(book)), direction: self.direction, book }
    }
}

/// What happened on a down.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Happening {
    /// A pass play on film; its index in [`GameScript::plays`].
    Filmed {
        /// Index.
        play: usize,
    },
    /// A snap that was not filmed.
    Snap,
    /// Kicked away.
    Punt,
    /// Three points, if good.
    FieldGoal {
        /// Went through.
        good: bool,
    },
}

/// A down of the game, filmed or not: enough to check the book-keeping.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Down {
    /// Before it.
    pub scene: Scene,
    /// What.
    pub happening: Happening,
    /// Yards gained.
    pub gain: f64,
    /// The other team has the ball after it.
    pub turned_over: bool,
    /// A touchdown was scored.
    pub touchdown: bool,
}

/// A filmed play.
#[derive(Clone, Debug)]
pub struct GamePlay {
    /// Of the season, from 1.
    pub game: u8,
    /// From 1.
    pub number: u32,
    /// Before it.
    pub scene: Scene,
    /// Called.
    pub picture: Picture,
    /// The script.
    pub script: Script,
    /// Result.
    pub outcome: Outcome,
    /// How it missed.
    pub miss: &'static str,
    /// Yards gained.
    pub gain: f64,
}

/// A whole game.
pub struct GameScript {
    /// Home, away.
    pub teams: [Team; 2],
    /// Markings.
    pub book: RuleBook,
    /// Air and ball of the day.
    pub air: Air,
    /// Every down.
    pub downs: Vec<Down>,
    /// The filmed ones.
    pub plays: Vec<GamePlay>,
}

/// Yards gained and where the ball was dead (play frame).
pub fn gain(world: &World) -> (f64, Option<(f64, f64)>) {
    let Some(e) = &world.ending else { return (0.0, None) };
    let carrier = match e.result {
        Outcome::Complete | Outcome::Intercepted => e.by,
        Outcome::Sacked | Outcome::Scrambled => Some(super::world::PASSER),
        _ => None,
    };
    match carrier {
        Some(c) => {
            let p = world.men[c].track.at(world.since).at;
            (p.x, Some((p.x, p.y)))
        }
        None => (0.0, None),
    }
}

/// Book-keeping while a game is played.
struct Table {
    scene: Scene,
    home_up_first: bool,
    dice: Dice,
    downs: Vec<Down>,
}

impl Table {
    fn direction(&self, quarter: u8, home_ball: bool) -> Direction {
        let up = (quarter % 2 == 1) == self.home_up_first;
        if up == home_ball { Direction::Up } else { Direction::Down }
    }
    fn first_down(&mut self, own: f64) {
        self.scene.own = own.clamp(1.0, 99.0).round();
        self.scene.down = 1;
        self.scene.distance = (100.0 - self.scene.own).min(10.0);
    }
    fn change_sides(&mut self, own: f64) {
        self.scene.home_ball = !self.scene.home_ball;
        self.scene.direction = self.direction(self.scene.quarter, self.scene.home_ball);
        self.first_down(own);
    }
    /// Runs the clock; false at the end of the game.
    fn run_clock(&mut self, seconds: f64) -> bool {
        self.scene.clock_s -= seconds;
        if self.scene.clock_s > 0.0 {
            return true;
        }
        if self.scene.quarter == 4 {
            return false;
        }
        self.scene.quarter += 1;
        self.scene.clock_s = 900.0;
        if self.scene.quarter == 3 {
            // The second half begins with a kickoff to the visitors, who kicked off the first.
            self.scene.home_ball = false;
            self.first_down(25.0);
            self.scene.hash = HashSpot::Middle;
        }
        self.scene.direction = self.direction(self.scene.quarter, self.scene.home_ball);
        true
    }
    /// Books a snap with its gain; the clock runs on after.
    fn book(
        &mut self,
        happening: Happening,
        gain: f64,
        intercepted_at: Option<f64>,
        dead: Option<(f64, f64)>,
        clock: f64,
        book: RuleBook,
    ) -> bool {
        let before = self.scene;
        let gain = gain.round().max(1.0 - before.own);
        let gained = before.own + gain;
        let touchdown = intercepted_at.is_none() && gained >= 100.0;
        let mut turned_over = false;
        if let Some((_, y)) = dead {
            let p = before.place(book);
            self.scene.hash = HashSpot::nearest(p.spot.1 + p.direction.sign() * y, book);
        }
        if let Some(at) = intercepted_at {
            turned_over = true;
            self.downs.push(Down { scene: before, happening, gain: 0.0, turned_over, touchdown: false });
            self.change_sides((100.0 - (before.own + at)).clamp(1.0, 99.0));
            return self.run_clock(clock);
        }
        if touchdown {
            let side = usize::from(!before.home_ball);
            self.scene.score[side] += 7;
            turned_over = true;
        } else if gain >= before.distance {
            self.first_down(gained);
        } else if before.down == 4 {
            turned_over = true;
        } else {
            self.scene.down += 1;
            self.scene.distance = before.distance - gain;
            self.scene.own = gained;
        }
        self.downs.push(Down {
            scene: before,
            happening,
            gain: if touchdown { 100.0 - before.own } else { gain },
            turned_over,
            touchdown,
        });
        if turned_over {
            let own = if touchdown { 25.0 } else { 100.0 - gained };
            self.change_sides(own);
            if touchdown {
                self.scene.hash = HashSpot::Middle;
            }
        }
        self.run_clock(clock)
    }
    /// Fourth down: a kick, or none.
    fn kick(&mut self) -> Option<bool> {
        let s = self.scene;
        if s.down < 4 || s.own > 45.0 && s.distance <= 3.0 && s.own < 64.0 {
            return None;
        }
        let before = self.scene;
        let (happening, own) = if s.own >= 64.0 {
            let good = self.dice.chance(0.82);
            if good {
                self.scene.score[usize::from(!s.home_ball)] += 3;
            }
            (Happening::FieldGoal { good }, if good { 25.0 } else { 100.0 - s.own + 7.0 })
        } else {
            (Happening::Punt, (100.0 - s.own - self.dice.range(34.0, 44.0)).max(20.0))
        };
        self.downs.push(Down { scene: before, happening, gain: 0.0, turned_over: true, touchdown: false });
        self.scene.hash = *self.dice.pick(&[HashSpot::Near, HashSpot::Middle, HashSpot::Far]);
        self.change_sides(own);
        let seconds = self.dice.range(7.0, 14.0);
        Some(self.run_clock(seconds))
    }
}

impl GameScript {
    /// The demonstration game: 26 pass plays.
    pub fn demo(seed: u64) -> Self {
        Self::with_plays(seed, 26)
    }

    /// The first game of the season of `seed`, of which `plays` pass plays are filmed.
    pub fn with_plays(seed: u64, plays: usize) -> Self {
        Self::of_season(seed, 0, plays)
    }

    /// A season's game (from 0) of which `plays` pass plays of the home team are filmed; plays left over when the clock runs out are
    /// made up for by passing more often, so a game is tried again with more passes until it has enough.
    pub fn of_season(season: u64, game: usize, plays: usize) -> Self {
        let number = game;
        let mut more = 0.0;
        loop {
            let game = Self::try_game(season, number, plays, more);
            if game.plays.len() >= plays || more > 0.6 {
                return game;
            }
            more += 0.2;
        }
    }

    fn try_game(season: u64, game: usize, plays: usize, more: f64) -> Self {
        let seed = game_seed(season, game);
        let mut dice = Dice::new(seed, 7);
        let book = RuleBook::College;
        let air = Air { drag: dice.range(DRAG_LOW, DRAG_HIGH), density: 1.225 };
        let teams = [teams::home(), visitors(game)];
        let home_up_first = dice.chance(0.5);
        let scene = Scene {
            quarter: 1,
            clock_s: 900.0,
            down: 1,
            distance: 10.0,
            own: 25.0,
            hash: HashSpot::Middle,
            direction: Direction::Up,
            score: [0, 0],
            home_ball: true,
        };
        let mut table = Table { scene, home_up_first, dice, downs: Vec::new() };
        table.scene.direction = table.direction(1, true);
        let mut sheet = CallSheet::new(season, game);
        let mut out: Vec<GamePlay> = Vec::new();
        let mut going = true;
        while going {
            if let Some(on) = table.kick() {
                going = on;
                continue;
            }
            let s = table.scene;
            // Plays still wanted against snaps still to come: about one a minute for each team.
            let left = f64::from(4 - s.quarter) * 900.0 + s.clock_s;
            let wanted = (plays - out.len().min(plays)) as f64 / (left / 68.0).max(1.0);
            let likely = (wanted + more + if s.down == 3 && s.distance > 4.0 { 0.4 } else { 0.0 }
                - if s.distance < 3.0 { 0.15 } else { 0.0 })
            .clamp(0.05, 1.0);
            let passes = s.home_ball && out.len() < plays && table.dice.chance(likely);
            if !passes {
                let gain = if table.dice.chance(0.32) {
                    table.dice.range(5.0, 16.0)
                } else {
                    3.0 + table.dice.normal(2.6)
                };
                let y = table.dice.normal(9.0);
                let clock = table.dice.range(27.0, 38.0);
                going =
                    table.book(Happening::Snap, gain.clamp(-6.0, 40.0), None, Some((gain, y)), clock, book);
                continue;
            }
            let picture = sheet.next(100.0 - s.own, s.distance);
            let number = out.len() as u32 + 1;
            let script = Script {
                seed: seed.wrapping_mul(1_000_003).wrapping_add(u64::from(number)),
                place: s.place(book),
                air,
                set: picture.set,
                strong: picture.strong,
                gun: picture.gun,
                motion: picture.motion,
                concept: picture.concept,
                plan: picture.concept.scheme().plans[picture.plan].clone(),
                fault: picture.fault,
                protection: picture.protection,
                call: picture.call,
                arm: teams[0].arm,
                untidy: picture.untidy,
            };
            let world = engine::play(&script);
            let (gained, dead) = gain(&world);
            let (outcome, miss) =
                world.ending.as_ref().map_or((Outcome::Incomplete, ""), |e| (e.result, e.miss));
            let intercepted = (outcome == Outcome::Intercepted).then_some(gained);
            let stops = matches!(outcome, Outcome::Incomplete | Outcome::ThrownAway | Outcome::Batted);
            let clock = if stops { table.dice.range(5.0, 8.0) } else { table.dice.range(26.0, 37.0) };
            let index = out.len();
            going = table.book(Happening::Filmed { play: index }, gained, intercepted, dead, clock, book);
            let booked = table.downs.last().map_or(0.0, |d| d.gain);
            out.push(GamePlay {
                game: game as u8 + 1,
                number,
                scene: s,
                picture,
                script,
                outcome,
                miss,
                gain: booked,
            });
        }
        Self { teams, book, air, downs: table.downs, plays: out }
    }
}
