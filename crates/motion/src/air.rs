//! Density of the air a ball flies through.

use crate::MotionError;
use crate::error::within;
use play::Air;

// Standard atmosphere, ISO 2533:1975: sea-level pressure and temperature, lapse rate of the lowest layer, the gas
// constant of dry air, and the Earth radius that turns heights into geopotential ones.
const PRESSURE_PA: f64 = 101_325.0;
const TEMPERATURE_K: f64 = 288.15;
const LAPSE_K_PER_M: f64 = 0.006_5;
const GAS_J_PER_KG_K: f64 = 287.052_87;
const EARTH_M: f64 = 6_356_766.0;
const KELVIN: f64 = 273.15;

/// Density of dry air, kg/m³: pressure of the standard atmosphere at the altitude, at the temperature given.
/// Weather moves pressure by about 2% and humidity takes up to 1%; both are far inside the drag coefficient's band.
///
/// # Errors
/// `OutOfRange` outside −500 to 6000 m or −50 to 60 °C.
pub fn density_kg_per_m3(air: &Air) -> Result<f64, MotionError> {
    let h = within("altitude", air.altitude_m, "m", (-500.0, 6000.0))?;
    let t = within("temperature", air.temperature_c, "°C", (-50.0, 60.0))? + KELVIN;
    let geopotential = EARTH_M * h / (EARTH_M + h);
    let exponent = units::GRAVITY_MPS2 / (GAS_J_PER_KG_K * LAPSE_K_PER_M);
    let pressure = PRESSURE_PA * (1.0 - LAPSE_K_PER_M * geopotential / TEMPERATURE_K).powf(exponent);
    Ok(pressure / (GAS_J_PER_KG_K * t))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table is cut, not rounded, at its last place. Standard atmosphere (ISO 2533) and dry air at sea-level pressure, as in docs/sources.md (recomputed there with
    /// the package `ambiance`; `tests/reference.rs` recomputes them live).
    #[test]
    fn densities_are_the_standard_atmospheres() {
        for (altitude_m, density) in [(0.0, 1.2250), (1000.0, 1.1117), (1609.344, 1.0467), (2000.0, 1.0066)] {
            let temperature_c = 15.0 - LAPSE_K_PER_M * EARTH_M * altitude_m / (EARTH_M + altitude_m);
            let got = density_kg_per_m3(&Air { altitude_m, temperature_c, wind: None }).unwrap();
            assert!((got - density).abs() < 6e-5, "{altitude_m} m: {got}");
        }
        for (temperature_c, density) in [(-10.0, 1.3413), (0.0, 1.2922), (30.0, 1.1644)] {
            let got = density_kg_per_m3(&Air { altitude_m: 0.0, temperature_c, wind: None }).unwrap();
            assert!((got - density).abs() < 1e-4, "{temperature_c} °C: {got}");
        }
    }

    #[test]
    fn impossible_air_is_refused_with_value_unit_and_limit() {
        let e = density_kg_per_m3(&Air { altitude_m: 9000.0, temperature_c: 0.0, wind: None }).unwrap_err();
        assert_eq!(e.to_string(), "altitude is 9000 m, outside -500 to 6000 m");
        assert!(density_kg_per_m3(&Air { altitude_m: 0.0, temperature_c: f64::NAN, wind: None }).is_err());
    }
}
