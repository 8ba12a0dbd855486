//! Liquid water at atmospheric pressure: heat capacity and density by temperature.
//!
//! Values of the IAPWS-95 formulation (Wagner and Pruss 2002, J. Phys. Chem. Ref. Data 31,
//! 387; tabulated by the NIST Chemistry WebBook), rounded, every ten degrees.

/// Heat capacity in kJ per kg and kelvin at 0, 10, ... 100 degrees.
const HEAT_CAPACITY: [f64; 11] =
    [4.2199, 4.1955, 4.1844, 4.1801, 4.1796, 4.1815, 4.1851, 4.1902, 4.1969, 4.2053, 4.2157];

/// Density in kg per litre at 0, 10, ... 100 degrees.
const DENSITY: [f64; 11] =
    [0.99984, 0.99970, 0.99821, 0.99565, 0.99221, 0.98803, 0.98319, 0.97776, 0.97179, 0.96531, 0.95837];

fn between(table: &[f64; 11], celsius: f64) -> f64 {
    let x = (celsius / 10.0).clamp(0.0, 9.999);
    let low = x as usize;
    table[low] + (table[low + 1] - table[low]) * (x - low as f64)
}

/// Joules to warm one kilogram by one kelvin.
pub fn heat_capacity(celsius: f64) -> f64 {
    1000.0 * between(&HEAT_CAPACITY, celsius)
}

/// Kilograms in one litre.
pub fn density(celsius: f64) -> f64 {
    between(&DENSITY, celsius)
}
