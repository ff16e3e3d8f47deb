use geometry::{Point2, frame::Ground};
use serde::{Deserialize, Serialize};
use units::yards_from_feet_inches as ft_in;

/// Whose rule book the field is painted by. All measures are to the inside edge of the boundary
/// (rule 1 of each book; the lengths agree with `docs/sources.md`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum RuleBook {
    /// Professional, United States.
    Professional,
    /// College.
    College,
    /// High school.
    HighSchool,
    /// Canadian: 110 yd by 65 yd, 20-yd end zones, hashes 24 yd in. Rule 1 of the Canadian amateur rule book, from memory.
    Canadian,
}

impl RuleBook {
    /// Every rule book, for menus and tests.
    pub const ALL: [Self; 4] = [Self::Professional, Self::College, Self::HighSchool, Self::Canadian];
    /// Goal line to goal line, yd.
    pub const fn length(self) -> f64 {
        match self {
            Self::Canadian => 110.0,
            _ => 100.0,
        }
    }
    /// Depth of an end zone, yd.
    pub const fn end_zone(self) -> f64 {
        match self {
            Self::Canadian => 20.0,
            _ => 10.0,
        }
    }
    /// Sideline to sideline, yd (160 ft; Canadian 65 yd).
    pub const fn width(self) -> f64 {
        match self {
            Self::Canadian => 65.0,
            _ => ft_in(160.0, 0.0),
        }
    }
    /// Inbounds (hash) line from the nearer sideline, yd.
    pub const fn hash_from_sideline(self) -> f64 {
        match self {
            Self::Professional => ft_in(70.0, 9.0),
            Self::College => ft_in(60.0, 0.0),
            Self::HighSchool => ft_in(53.0, 4.0),
            Self::Canadian => 24.0,
        }
    }
    /// Length of a hash mark, yd (24 in).
    pub const fn hash_length(self) -> f64 {
        ft_in(2.0, 0.0)
    }
    /// Painted width of yard lines, yd (4 in).
    pub const fn line_width(self) -> f64 {
        ft_in(0.0, 4.0)
    }
    /// Painted width of goal lines, yd: 8 in professional, 4 in else (college allows either).
    pub const fn goal_line_width(self) -> f64 {
        match self {
            Self::Professional => ft_in(0.0, 8.0),
            _ => ft_in(0.0, 4.0),
        }
    }
    /// Edge of the painted numbers nearer to their sideline, yd from it.
    /// Professional: bottoms 12 yd in; college and (recommended) high school: tops 9 yd in, 2 yd tall;
    /// Canadian books leave it open: as in college (common practice, no source).
    pub const fn number_bottom(self) -> f64 {
        match self {
            Self::Professional => 12.0,
            _ => 7.0,
        }
    }
    /// Height of the painted numbers, yd (6 ft).
    pub const fn number_height(self) -> f64 {
        2.0
    }
    /// Width of one painted digit, yd (4 ft).
    pub const fn number_width(self) -> f64 {
        ft_in(4.0, 0.0)
    }
    /// Top of the crossbar, yd (10 ft).
    pub const fn crossbar_height(self) -> f64 {
        ft_in(10.0, 0.0)
    }
    /// Inside width of the goal, yd.
    pub const fn goal_width(self) -> f64 {
        match self {
            Self::Professional | Self::College | Self::Canadian => ft_in(18.0, 6.0),
            Self::HighSchool => ft_in(23.0, 4.0),
        }
    }
    /// x of the goals, yd: on the end lines; Canadian goals stand on the goal lines.
    pub const fn goal_x(self) -> [f64; 2] {
        match self {
            Self::Canadian => [0.0, self.length()],
            _ => [-self.end_zone(), self.length() + self.end_zone()],
        }
    }
    /// The yard line painted nearest to `x`, as it is read on the field: 0 to 50 (55 at a Canadian midfield).
    pub fn yard_line(self, x: f64) -> u8 {
        x.min(self.length() - x).round().clamp(0.0, 55.0) as u8
    }
    /// Whether a point lies on the field, end zones included.
    pub fn holds(self, p: Point2<Ground>) -> bool {
        let ez = self.end_zone();
        (-ez..=self.length() + ez).contains(&p.x) && (0.0..=self.width()).contains(&p.y)
    }
    /// y of the far inbounds line, yd.
    pub const fn far_hash(self) -> f64 {
        self.width() - self.hash_from_sideline()
    }
}

/// Which way the offense goes along the field frame's x axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Direction {
    /// Toward larger x.
    Up,
    /// Toward smaller x.
    Down,
}

impl Direction {
    /// +1 or −1 along x.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Up => 1.0,
            Self::Down => -1.0,
        }
    }
}

/// The field's crown: painted ground rises from the sidelines to the middle for drainage, as a parabola across
/// the width. Height 0 is a flat field.
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Crown {
    /// Rise of the middle over the sidelines, yd.
    pub height: f64,
}

impl Crown {
    /// Height of the ground at `p` over the sidelines, yd; 0 outside the width.
    pub fn at(self, p: Point2<Ground>, rule_book: RuleBook) -> f64 {
        let half = rule_book.width() / 2.0;
        let u = (p.y - half) / half;
        self.height * (1.0 - u * u).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rule 1 of each book: hash from sideline 23.5833 / 20 / 17.7778 yd, gaps 6.1667 / 13.3333 / 17.7778;
    /// Canadian 24 yd and 65 - 48 = 17.
    #[test]
    fn hashes_are_the_rule_books() {
        for (book, from_side, gap) in [
            (RuleBook::Professional, 23.5833, 6.1667),
            (RuleBook::College, 20.0, 13.3333),
            (RuleBook::HighSchool, 17.7778, 17.7778),
            (RuleBook::Canadian, 24.0, 17.0),
        ] {
            assert!((book.hash_from_sideline() - from_side).abs() < 1e-4);
            assert!((book.far_hash() - book.hash_from_sideline() - gap).abs() < 1e-4);
        }
    }

    /// Geometry worked by hand (docs/sources.md): passer 7 yd deep on the far hash, catch 12 yd deep and 2 yd inside
    /// the near sideline.
    #[test]
    fn the_same_throw_is_longer_from_a_wider_hash() {
        for (book, yards) in
            [(RuleBook::Professional, 33.63), (RuleBook::College, 36.64), (RuleBook::HighSchool, 38.56)]
        {
            let passer = Point2::<Ground>::new(-7.0, book.far_hash());
            assert!((passer.distance(Point2::new(12.0, 2.0)) - yards).abs() < 0.01);
        }
    }
}
