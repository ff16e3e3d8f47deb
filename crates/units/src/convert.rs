//! Constants are exact by definition: 1 yd = 0.9144 m (international yard, 1959), 1 mi = 1760 yd.

/// Metres in a yard, exact.
pub const METRES_PER_YARD: f64 = 0.9144;
/// Feet in a yard.
pub const FEET_PER_YARD: f64 = 3.0;
/// Inches in a yard.
pub const INCHES_PER_YARD: f64 = 36.0;
/// Standard gravity, m/s² (ISO 80000-3).
pub const GRAVITY_MPS2: f64 = 9.806_65;
/// Standard gravity, yd/s².
pub const GRAVITY_YDPS2: f64 = GRAVITY_MPS2 / METRES_PER_YARD;

/// Yards from metres.
pub const fn yards_from_metres(m: f64) -> f64 {
    m / METRES_PER_YARD
}
/// Metres from yards.
pub const fn metres_from_yards(yd: f64) -> f64 {
    yd * METRES_PER_YARD
}
/// Yards from feet and inches, as rule books write lengths.
pub const fn yards_from_feet_inches(feet: f64, inches: f64) -> f64 {
    feet / FEET_PER_YARD + inches / INCHES_PER_YARD
}
/// Miles per hour from yards per second.
pub const fn mph_from_yards_per_second(v: f64) -> f64 {
    v * 3600.0 / 1760.0
}
/// Yards per second from miles per hour.
pub const fn yards_per_second_from_mph(v: f64) -> f64 {
    v * 1760.0 / 3600.0
}
/// The same angle in (-π, π], radians.
pub fn wrap_angle(radians: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    let wrapped = radians - turn * (radians / turn).round();
    if wrapped <= -std::f64::consts::PI { wrapped + turn } else { wrapped }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Handbook 44, appendix C: 1 mi/h = 0.447 04 m/s exactly.
    #[test]
    fn mile_per_hour_is_the_handbooks() {
        assert!((metres_from_yards(yards_per_second_from_mph(1.0)) - 0.447_04).abs() < 1e-15);
    }

    proptest::proptest! {
        #[test]
        fn wrapped_angles_are_the_same_direction(a in -50.0..50.0f64) {
            let w = wrap_angle(a);
            proptest::prop_assert!(w > -std::f64::consts::PI - 1e-12 && w <= std::f64::consts::PI + 1e-12);
            proptest::prop_assert!((w.sin() - a.sin()).abs() < 1e-9 && (w.cos() - a.cos()).abs() < 1e-9);
        }
    }
}
