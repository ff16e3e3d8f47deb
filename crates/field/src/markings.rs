use crate::{RuleBook, Side};
use geometry::{Point2, frame::Ground};
use units::yards_from_feet_inches as ft_in;

/// What a painted stripe is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StripeKind {
    /// Full line across the field every five yards, between the goal lines.
    YardLine,
    /// The line the score is measured at.
    GoalLine,
    /// Back of the end zone.
    EndLine,
    /// Along the length.
    Sideline,
    /// 24-inch mark on an inbounds line, every yard.
    Hash,
    /// 24-inch mark just inside a sideline, every yard.
    SidelineTick,
}

/// A painted straight stripe: the middle of the paint from `a` to `b`, and its width, yd.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stripe {
    /// One end of the centre line.
    pub a: Point2<Ground>,
    /// The other end.
    pub b: Point2<Ground>,
    /// Painted width, yd.
    pub width: f64,
    /// What it is.
    pub kind: StripeKind,
}

/// A painted two-digit number. `bottom_left` and `bottom_right` are as seen by a reader at its own sideline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number {
    /// 10, 20, 30, 40 or 50.
    pub value: u8,
    /// x of the yard line it names.
    pub x: f64,
    /// Which sideline it is read from.
    pub side: Side,
    /// Corner nearest its sideline, at its reader's left.
    pub bottom_left: Point2<Ground>,
    /// Corner nearest its sideline, at its reader's right.
    pub bottom_right: Point2<Ground>,
    /// Corner away from its sideline, at its reader's left.
    pub top_left: Point2<Ground>,
    /// Corner away from its sideline, at its reader's right.
    pub top_right: Point2<Ground>,
}

/// Triangle beside a number that points to the nearer goal line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrow {
    /// The three corners; the first is the tip.
    pub corners: [Point2<Ground>; 3],
}

/// Everything a rule book has painted, except emblems and lettering.
#[derive(Clone, Debug, PartialEq)]
pub struct Markings {
    /// By whose book.
    pub rule_book: RuleBook,
    /// Straight stripes.
    pub stripes: Vec<Stripe>,
    /// Numbers, both rows.
    pub numbers: Vec<Number>,
    /// Direction arrows beside the numbers (none at midfield; the Canadian midfield, the 55, has a letter and no number).
    pub arrows: Vec<Arrow>,
}

/// Gap between the two digits of a number, yd: the yard line runs through it. Common practice, no source.
const DIGIT_GAP: f64 = ft_in(2.0, 0.0);
/// Marks end this far short of a sideline (college rule 1-2-1), yd.
const CLEAR_OF_SIDELINE: f64 = ft_in(0.0, 4.0);

impl Markings {
    /// The markings of a rule book on a flat field.
    pub fn of(rule_book: RuleBook) -> Self {
        Self {
            rule_book,
            stripes: stripes(rule_book),
            numbers: numbers(rule_book),
            arrows: arrows(rule_book),
        }
    }
}

fn stripes(book: RuleBook) -> Vec<Stripe> {
    use StripeKind::{EndLine, GoalLine, Hash, Sideline, SidelineTick, YardLine};
    let (w, ez, line) = (book.width(), book.end_zone(), book.line_width());
    let length = book.length();
    let mut out = Vec::new();
    let mut add = |ax: f64, ay: f64, bx: f64, by: f64, width: f64, kind| {
        out.push(Stripe { a: Point2::new(ax, ay), b: Point2::new(bx, by), width, kind });
    };
    // The field is measured to the boundary's inside edge, so its paint lies outside.
    let outside = line / 2.0;
    for y in [-outside, w + outside] {
        add(-ez - line, y, length + ez + line, y, line, Sideline);
    }
    for x in [-ez - outside, length + ez + outside] {
        add(x, -line, x, w + line, line, EndLine);
    }
    // The goal line belongs to the end zone: its plane is the field-side edge.
    let g = book.goal_line_width();
    for x in [-g / 2.0, length + g / 2.0] {
        add(x, 0.0, x, w, g, GoalLine);
    }
    for k in 1..(length / 5.0) as u32 {
        let x = f64::from(k) * 5.0;
        add(x, CLEAR_OF_SIDELINE, x, w - CLEAR_OF_SIDELINE, line, YardLine);
    }
    let mark = book.hash_length();
    let (near, far) = (book.hash_from_sideline(), book.far_hash());
    for k in 1..length as u32 {
        let x = f64::from(k);
        if k % 5 == 0 {
            // On a full line the hash is a short crossbar along the inbounds line.
            for y in [near, far] {
                add(x - mark / 2.0, y, x + mark / 2.0, y, line, Hash);
            }
            continue;
        }
        // Marks lie outside their inbounds line (from memory: rule 1 diagrams), so the gap between rows is clear.
        add(x, near - mark, x, near, line, Hash);
        add(x, far, x, far + mark, line, Hash);
        add(x, CLEAR_OF_SIDELINE, x, CLEAR_OF_SIDELINE + mark, line, SidelineTick);
        add(x, w - CLEAR_OF_SIDELINE - mark, x, w - CLEAR_OF_SIDELINE, line, SidelineTick);
    }
    out
}

fn numbers(book: RuleBook) -> Vec<Number> {
    let half = book.number_width() + DIGIT_GAP / 2.0;
    let (bottom, top) = (book.number_bottom(), book.number_bottom() + book.number_height());
    let mut out = Vec::new();
    for k in 1..(book.length() / 10.0) as u32 {
        let x = f64::from(k) * 10.0;
        let value = book.yard_line(x);
        for side in [Side::Near, Side::Far] {
            // A reader at the far sideline looks toward −y: his left is +x.
            let (sign, y) = match side {
                Side::Near => (1.0, [bottom, top]),
                Side::Far => (-1.0, [book.width() - bottom, book.width() - top]),
            };
            out.push(Number {
                value,
                x,
                side,
                bottom_left: Point2::new(x - sign * half, y[0]),
                bottom_right: Point2::new(x + sign * half, y[0]),
                top_left: Point2::new(x - sign * half, y[1]),
                top_right: Point2::new(x + sign * half, y[1]),
            });
        }
    }
    out
}

/// Arrows: 18 in base, 36 in long (from memory), beside the digit nearer to the goal line they point at.
fn arrows(book: RuleBook) -> Vec<Arrow> {
    let (base, long, gap) = (ft_in(1.0, 6.0), ft_in(3.0, 0.0), ft_in(0.0, 6.0));
    let half = book.number_width() + DIGIT_GAP / 2.0;
    let mid = book.number_bottom() + book.number_height() * 0.7;
    numbers(book)
        .iter()
        .filter(|n| (n.x - book.length() / 2.0).abs() > 1.0)
        .map(|n| {
            let toward = if n.x < book.length() / 2.0 { -1.0 } else { 1.0 };
            let y = match n.side {
                Side::Near => mid,
                Side::Far => book.width() - mid,
            };
            let root = n.x + toward * (half + gap);
            Arrow {
                corners: [
                    Point2::new(root + toward * long, y),
                    Point2::new(root, y - base / 2.0),
                    Point2::new(root, y + base / 2.0),
                ],
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_follow_from_the_rule() {
        for book in RuleBook::ALL {
            let m = Markings::of(book);
            let count = |k| m.stripes.iter().filter(|s| s.kind == k).count();
            let canadian = book == RuleBook::Canadian;
            let [lines, hashes, ticks] = if canadian { [21, 109, 88] } else { [19, 99, 80] };
            assert_eq!(count(StripeKind::YardLine), lines);
            assert_eq!(count(StripeKind::Hash), 2 * hashes);
            assert_eq!(count(StripeKind::SidelineTick), 2 * ticks);
            assert_eq!((m.numbers.len(), m.arrows.len()), if canadian { (20, 20) } else { (18, 16) });
        }
    }

    /// College rule 1-2-1: number tops 9 yd from the sideline, at most 6 ft tall; professional bottoms 12 yd in.
    #[test]
    fn number_rows_are_where_the_books_put_them() {
        let college = Markings::of(RuleBook::College).numbers;
        assert!(college.iter().filter(|n| n.side == Side::Near).all(
            |n| (n.top_left.y - 9.0).abs() < 1e-9 && (n.top_left.y - n.bottom_left.y - 2.0).abs() < 1e-9
        ));
        let professional = Markings::of(RuleBook::Professional).numbers;
        assert!(
            professional.iter().filter(|n| n.side == Side::Far).all(|n| (RuleBook::Professional.width()
                - n.bottom_left.y
                - 12.0)
                .abs()
                < 1e-9)
        );
    }

    #[test]
    fn markings_mirror_about_midfield() {
        for book in RuleBook::ALL {
            let m = Markings::of(book);
            for s in &m.stripes {
                let mirrored =
                    |p: Point2<Ground>| Point2::<Ground>::new(book.length() - p.x, book.width() - p.y);
                let (a, b) = (mirrored(s.a), mirrored(s.b));
                assert!(
                    m.stripes.iter().any(|t| t.kind == s.kind
                        && ((t.a.distance(a) < 1e-9 && t.b.distance(b) < 1e-9)
                            || (t.a.distance(b) < 1e-9 && t.b.distance(a) < 1e-9))),
                    "{s:?}"
                );
            }
        }
    }
}
