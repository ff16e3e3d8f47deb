use crate::PersonId;
use geometry::frame::Ground;
use geometry::{Covariance2, Point2, Vector2};
use serde::{Deserialize, Serialize};

/// Somebody at an instant.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct TrackPoint {
    /// Seconds from the snap.
    pub t_s: f64,
    /// Where, yd.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub position: Point2<Ground>,
    /// How fast, yd/s.
    #[cfg_attr(feature = "schema", schema(value_type = [f64; 2]))]
    pub velocity: Vector2<Ground>,
    /// Covariance of the position, yd².
    pub position_covariance: Covariance2,
    /// Covariance of the velocity, (yd/s)².
    pub velocity_covariance: Covariance2,
}

/// Somebody's path: points in increasing time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Track {
    /// Whose.
    pub person: PersonId,
    /// The path, at least one point.
    pub points: Vec<TrackPoint>,
}

impl Track {
    /// First and last instant, s; `None` for an empty track.
    pub fn span(&self) -> Option<(f64, f64)> {
        Some((self.points.first()?.t_s, self.points.last()?.t_s))
    }
    /// Position, velocity and covariances at `t_s`, linear between points; `None` outside the track.
    pub fn at(&self, t_s: f64) -> Option<TrackPoint> {
        let (first, last) = self.span()?;
        if t_s < first - 1e-9 || t_s > last + 1e-9 {
            return None;
        }
        let k = self.points.partition_point(|p| p.t_s <= t_s).clamp(1, self.points.len().max(2) - 1);
        let (Some(a), b) = (self.points.get(k - 1), self.points.get(k)) else { return None };
        let Some(b) = b else { return Some(TrackPoint { t_s, ..*a }) };
        let w = ((t_s - a.t_s) / (b.t_s - a.t_s)).clamp(0.0, 1.0);
        let mix = |x: f64, y: f64| x + (y - x) * w;
        let mix_cov = |x: Covariance2, y: Covariance2| Covariance2 {
            xx: mix(x.xx, y.xx),
            xy: mix(x.xy, y.xy),
            yy: mix(x.yy, y.yy),
        };
        Some(TrackPoint {
            t_s,
            position: a.position.lerp(b.position, w),
            velocity: a.velocity + (b.velocity - a.velocity) * w,
            position_covariance: mix_cov(a.position_covariance, b.position_covariance),
            velocity_covariance: mix_cov(a.velocity_covariance, b.velocity_covariance),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tracks_interpolate_and_never_extrapolate() {
        let point = |t_s: f64| TrackPoint {
            t_s,
            position: Point2::new(10.0 * t_s, 0.0),
            velocity: Vector2::new(10.0, 0.0),
            position_covariance: Covariance2::default(),
            velocity_covariance: Covariance2::default(),
        };
        let track = Track { person: "L1".into(), points: vec![point(0.0), point(0.5), point(1.0)] };
        for t in [0.0, 0.25, 0.5, 0.9, 1.0] {
            assert!((track.at(t).unwrap().position.x - 10.0 * t).abs() < 1e-12);
        }
        assert!(track.at(-0.1).is_none() && track.at(1.1).is_none());
        let single = Track { person: "L1".into(), points: vec![point(0.3)] };
        assert!(single.at(0.3).is_some() && single.at(0.4).is_none());
    }
}
