//! Heating water: temperature rise, time, coefficient of performance, evaporation, and the gas meter.
//!
//! Balances of energy use the properties in [`super::liquid_water`]. The trade's short form, Btu/h = 500 · gpm · °F,
//! is the same balance with 8.34 lb/gal and 60 min/h rounded; it lies within 1 % of it at bathing temperatures.

use super::liquid_water::{
    density_kg_per_m3, enthalpy_j_per_kg, heat_capacity_j_per_kg_k, heat_of_evaporation_j_per_kg,
    vapour_pressure_pa,
};
use super::root::bisect;
use super::{DomainError, ZERO_CELSIUS_K, finite, not_negative, ordered, positive, share, within};

/// Highest temperature in °C that the water equations hold for.
const CELSIUS_MAX: f64 = 110.0;
/// Pascals in a conventional inch of mercury (NIST SP 811 appendix B.8).
const PA_PER_INHG: f64 = 3386.389;
/// Joules in a Btu (IT): 2326 J/kg per Btu/lb (NIST SP 811 appendix B.8), and kilograms in a pound.
const J_PER_BTU: f64 = 2326.0 * KG_PER_POUND;
const KG_PER_POUND: f64 = 0.453_592_37;

/// Heat in J that warms 1 m³ of water of a temperature in °C by 1 K: ρ·c_p (IAPWS SR6-08).
///
/// # Errors
/// −20 °C to 110 °C.
pub fn volumetric_heat_capacity_j_per_m3_k(celsius: f64) -> Result<f64, DomainError> {
    Ok(density_kg_per_m3(celsius)? * heat_capacity_j_per_kg_k(celsius)?)
}

/// Temperature rise in K across a heater that puts `output_w` W (input times efficiency) into a flow in m³/h entering
/// at a temperature in °C: balance of enthalpy, mass flow by the density at the inlet.
///
/// # Errors
/// Output and flow above zero; no boiling: the outlet must stay below 110 °C.
pub fn rise_k(output_w: f64, flow_m3_per_h: f64, inlet_celsius: f64) -> Result<f64, DomainError> {
    let kg_per_s = positive("flow", flow_m3_per_h)? / 3600.0 * density_kg_per_m3(inlet_celsius)?;
    let target = enthalpy_j_per_kg(inlet_celsius)? + positive("heat output", output_w)? / kg_per_s;
    let gap = |celsius: f64| enthalpy_j_per_kg(celsius).map_or(f64::NAN, |h| h - target);
    Ok(bisect("outlet below 110 °C", inlet_celsius, CELSIUS_MAX, gap)? - inlet_celsius)
}

/// Heat in W that a flow in m³/h entering at a temperature in °C takes up in rising by `rise_k` K.
///
/// # Errors
/// Flow above zero, rise not below; inlet and outlet liquid.
pub fn output_w(flow_m3_per_h: f64, inlet_celsius: f64, rise_k: f64) -> Result<f64, DomainError> {
    let kg_per_s = positive("flow", flow_m3_per_h)? / 3600.0 * density_kg_per_m3(inlet_celsius)?;
    let outlet = inlet_celsius + not_negative("temperature rise", rise_k)?;
    Ok(kg_per_s * (enthalpy_j_per_kg(outlet)? - enthalpy_j_per_kg(inlet_celsius)?))
}

/// Time in h in which `output_w` W warms a volume in m³ from one temperature in °C to another, without losses.
///
/// # Errors
/// Volume and output above zero, the target above the start, both liquid.
pub fn heat_up_h(
    volume_m3: f64,
    from_celsius: f64,
    to_celsius: f64,
    output_w: f64,
) -> Result<f64, DomainError> {
    ordered(
        ("start temperature", from_celsius),
        ("target temperature", to_celsius),
    )?;
    let kg = positive("volume", volume_m3)? * density_kg_per_m3(from_celsius)?;
    let joule = kg * (enthalpy_j_per_kg(to_celsius)? - enthalpy_j_per_kg(from_celsius)?);
    Ok(joule / positive("heat output", output_w)? / 3600.0)
}

/// Rise in K per hour of a volume in m³ at a temperature in °C under `output_w` W, without losses.
///
/// # Errors
/// Volume above zero, output not below, −20 °C to 110 °C.
pub fn rise_k_per_h(volume_m3: f64, celsius: f64, output_w: f64) -> Result<f64, DomainError> {
    let per_kelvin = positive("volume", volume_m3)? * volumetric_heat_capacity_j_per_m3_k(celsius)?;
    Ok(not_negative("heat output", output_w)? * 3600.0 / per_kelvin)
}

/// Coefficient of performance: heat delivered over electric power, in one unit (definition).
///
/// # Errors
/// Heat not below zero, electric power above.
pub fn coefficient_of_performance(heat_w: f64, electric_w: f64) -> Result<f64, DomainError> {
    Ok(not_negative("heat output", heat_w)? / positive("electric power", electric_w)?)
}

/// Usual range of the coefficient of performance of heat pumps for bathing water, at 80 °F air and water.
/// Source: US Department of Energy, Energy Saver, "Heat Pump Swimming Pool Heaters".
pub const USUAL_COP: (f64, f64) = (3.0, 7.0);

/// Water and air where water evaporates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surface {
    /// Area in m².
    pub area_m2: f64,
    /// Water temperature in °C.
    pub water_celsius: f64,
    /// Air temperature in °C.
    pub air_celsius: f64,
    /// Relative humidity of the air, 0 to 1.
    pub humidity: f64,
    /// Air speed over the water in m/s.
    pub air_m_per_s: f64,
    /// Factor for how the water is moved; see [`Activity`].
    pub activity_factor: f64,
}

/// What evaporates from a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evaporation {
    /// Vapour pressure at the water in Pa.
    pub water_pa: f64,
    /// Vapour pressure in the air in Pa.
    pub air_pa: f64,
    /// Heat of evaporation in J/kg.
    pub latent_j_per_kg: f64,
    /// Water lost in kg/h.
    pub kg_per_h: f64,
    /// Fall of the level in mm per day.
    pub mm_per_day: f64,
    /// Heat lost in W.
    pub heat_w: f64,
}

/// Water that a surface loses: w = (95 + 0.425·v)·(p_w − p_a)/Y in lb/(h ft²), v in ft/min, p in inHg, Y the heat of
/// evaporation in Btu/lb, times the activity factor. Source: the equation of the ASHRAE Handbook as quoted in the abstract
/// of "Rates of Evaporation from Swimming Pools in Active Use", ASHRAE Transactions 104 part 1A (1998), which found 74 % of
/// it over water in no use and 126 % with 15 to 20 swimmers on 1000 ft². Where the air holds more vapour than the water
/// gives off nothing evaporates, and the answer is zero.
///
/// # Errors
/// Area above zero; humidity 0 to 1; air speed and factor not below zero; temperatures 0.01 °C to 110 °C.
pub fn evaporation(surface: Surface) -> Result<Evaporation, DomainError> {
    const FT_PER_MIN_PER_M_PER_S: f64 = 60.0 / 0.3048;
    const M2_PER_FT2: f64 = 0.3048 * 0.3048;
    let area = positive("area", surface.area_m2)?;
    let water_pa = vapour_pressure_pa(surface.water_celsius)?;
    let air_pa = vapour_pressure_pa(surface.air_celsius)?
        * within("relative humidity", surface.humidity, 0.0, 1.0)?;
    let latent_j_per_kg = heat_of_evaporation_j_per_kg(surface.water_celsius)?;
    let speed = not_negative("air speed", surface.air_m_per_s)? * FT_PER_MIN_PER_M_PER_S;
    let factor = not_negative("activity factor", surface.activity_factor)?;
    // (95 + 0.425 v)·Δp is a flow of heat in Btu/(h ft²); Y turns it into mass.
    let btu_per_h_ft2 =
        (95.0 + 0.425 * speed) * (water_pa - air_pa).max(0.0) / PA_PER_INHG * factor;
    let heat_w = btu_per_h_ft2 * J_PER_BTU / 3600.0 / M2_PER_FT2 * area;
    let kg_per_h = heat_w * 3600.0 / latent_j_per_kg;
    let mm_per_day = kg_per_h * 24.0 / density_kg_per_m3(surface.water_celsius)? / area * 1000.0;
    Ok(Evaporation {
        water_pa,
        air_pa,
        latent_j_per_kg,
        kg_per_h,
        mm_per_day,
        heat_w,
    })
}

/// How a body of water is used, for the activity factor of evaporation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Activity {
    /// At a home.
    Residential,
    /// Shared by the flats of a house.
    Condominium,
    /// For treatment.
    Therapy,
    /// At a hotel.
    Hotel,
    /// Public, or at a school.
    Public,
    /// Whirlpools and spas.
    Whirlpool,
    /// Waves and slides; a least value.
    Waves,
}

impl Activity {
    /// Typical activity factor. Source: ASHRAE Handbook, HVAC Applications, chapter on natatoriums; from memory.
    #[must_use]
    pub fn factor(self) -> f64 {
        match self {
            Self::Residential => 0.5,
            Self::Condominium | Self::Therapy => 0.65,
            Self::Hotel => 0.8,
            Self::Public | Self::Whirlpool => 1.0,
            Self::Waves => 1.5,
        }
    }
}

/// Heat in J that evaporates a volume in m³ of water of a temperature in °C.
///
/// # Errors
/// Volume not below zero, 0.01 °C to 110 °C.
pub fn heat_to_evaporate_j(volume_m3: f64, celsius: f64) -> Result<f64, DomainError> {
    let kg = not_negative("volume", volume_m3)? * density_kg_per_m3(celsius)?;
    Ok(kg * heat_of_evaporation_j_per_kg(celsius)?)
}

/// Flow in m³/h from a meter whose dial of a volume in m³ takes a time in s for one turn: 3600·V/t. Only the appliance
/// in question may run meanwhile.
///
/// # Errors
/// Both above zero.
pub fn metered_flow_m3_per_h(dial_m3: f64, seconds: f64) -> Result<f64, DomainError> {
    Ok(3600.0 * positive("volume of the dial", dial_m3)? / positive("time", seconds)?)
}

/// Heat input in W of a gas flow in m³/h with a heating value in J/m³.
///
/// # Errors
/// Flow not below zero, heating value above.
pub fn gas_input_w(flow_m3_per_h: f64, heating_value_j_per_m3: f64) -> Result<f64, DomainError> {
    Ok(not_negative("gas flow", flow_m3_per_h)?
        * positive("heating value", heating_value_j_per_m3)?
        / 3600.0)
}

/// Time in s that one turn of a dial of a volume in m³ takes at a heat input in W.
///
/// # Errors
/// All above zero.
pub fn dial_time_s(
    dial_m3: f64,
    input_w: f64,
    heating_value_j_per_m3: f64,
) -> Result<f64, DomainError> {
    let joule = positive("volume of the dial", dial_m3)?
        * positive("heating value", heating_value_j_per_m3)?;
    Ok(joule / positive("heat input", input_w)?)
}

/// Factor that turns a metered gas volume into one at 14.73 psi absolute and 60 °F: ideal gas, barometer 14.696 psi,
/// from the gauge pressure in Pa at the meter and the gas temperature in °C.
///
/// # Errors
/// Absolute pressure and temperature above zero.
pub fn gas_volume_factor(gauge_pa: f64, celsius: f64) -> Result<f64, DomainError> {
    const PA_PER_PSI: f64 = KG_PER_POUND * super::STANDARD_GRAVITY / (0.0254 * 0.0254);
    const BASE_K: f64 = (60.0 - 32.0) / 1.8 + ZERO_CELSIUS_K;
    let absolute = positive(
        "absolute pressure",
        14.696 * PA_PER_PSI + finite("gauge pressure", gauge_pa)?,
    )?;
    Ok(absolute / (14.73 * PA_PER_PSI) * BASE_K / super::kelvin("gas temperature", celsius)?)
}

/// Thermal efficiency of a heater: heat into the water over heat input, both in W.
///
/// # Errors
/// Input above zero; more out than in is out of range.
pub fn efficiency(output_w: f64, input_w: f64) -> Result<f64, DomainError> {
    share(
        "efficiency",
        positive("heat output", output_w)? / positive("heat input", input_w)?,
    )
}
