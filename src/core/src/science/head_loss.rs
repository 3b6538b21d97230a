//! Water in pipes: velocity, friction, fittings, and what a suction line leaves at the pump.
//!
//! Friction is given by the Darcy-Weisbach equation, with the friction factor of Colebrook or its explicit form by
//! Swamee and Jain, and by the empirical formula of Hazen and Williams, which is common in water supply. Suction lift
//! ends where the atmosphere's pressure less the vapour pressure is used up; NPSH, the net positive suction head, says
//! how much is left.

use super::liquid_water::{density_kg_per_m3, vapour_pressure_pa, viscosity_pa_s};
use super::root::bisect;
use super::{DomainError, STANDARD_GRAVITY, finite, not_negative, positive, within};
use std::f64::consts::PI;

/// Metres in one foot, exact (NIST SP 811 appendix B).
const METRE_PER_FOOT: f64 = 0.3048;
/// Millimetres in one inch, exact (NIST SP 811 appendix B).
const MM_PER_INCH: f64 = 25.4;

/// A plastic pipe size of the inch series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeSize {
    /// Nominal size in inches, a name rather than a length.
    pub nominal_in: f64,
    /// Outside diameter in mm.
    pub outside_mm: f64,
    /// Least wall in mm.
    pub wall_min_mm: f64,
    /// Mean inside diameter in mm, which is smaller than the outside less two least walls.
    pub inside_mean_mm: f64,
}

impl PipeSize {
    const fn inches(nominal_in: f64, outside: f64, wall: f64, inside: f64) -> Self {
        Self {
            nominal_in,
            outside_mm: outside * MM_PER_INCH,
            wall_min_mm: wall * MM_PER_INCH,
            inside_mean_mm: inside * MM_PER_INCH,
        }
    }

    /// Inside diameter in mm where the wall is the least allowed: the widest bore.
    #[must_use]
    pub fn inside_mm(self) -> f64 {
        self.outside_mm - 2.0 * self.wall_min_mm
    }
}

/// PVC schedule 40: dimensions of ASTM D1785 as tabulated in public pipe data tables.
pub const SCHEDULE_40: [PipeSize; 4] = [
    PipeSize::inches(1.5, 1.900, 0.145, 1.592),
    PipeSize::inches(2.0, 2.375, 0.154, 2.049),
    PipeSize::inches(2.5, 2.875, 0.203, 2.445),
    PipeSize::inches(3.0, 3.500, 0.216, 3.042),
];

/// Water flowing in a round pipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeFlow {
    diameter_m: f64,
    velocity_m_per_s: f64,
    reynolds: f64,
}

impl PipeFlow {
    /// A flow in m³/h through an inside diameter in mm, of water at a temperature in °C.
    ///
    /// Velocity by continuity, Q = v·A; Reynolds number ρ·v·d/µ with IAPWS SR6-08 density and viscosity.
    ///
    /// # Errors
    /// Flow and diameter must be above zero, the water liquid.
    pub fn new(flow_m3_per_h: f64, inside_mm: f64, celsius: f64) -> Result<Self, DomainError> {
        let diameter_m = positive("inside diameter", inside_mm)? / 1000.0;
        let velocity_m_per_s = positive("flow", flow_m3_per_h)? / 3600.0 / area_m2(diameter_m);
        let reynolds =
            density_kg_per_m3(celsius)? * velocity_m_per_s * diameter_m / viscosity_pa_s(celsius)?;
        Ok(Self {
            diameter_m,
            velocity_m_per_s,
            reynolds,
        })
    }

    /// Mean velocity in m/s.
    #[must_use]
    pub fn velocity_m_per_s(self) -> f64 {
        self.velocity_m_per_s
    }

    /// Reynolds number: below about 2300 the flow is laminar, above 4000 turbulent.
    #[must_use]
    pub fn reynolds(self) -> f64 {
        self.reynolds
    }

    /// Darcy friction factor by Colebrook: 1/√f = −2·log10(ε/(3.7·d) + 2.51/(Re·√f)), ε the roughness in mm.
    /// Source: Colebrook, J. Inst. Civil Engineers 11 (1939) 133.
    ///
    /// # Errors
    /// Turbulent flow only (Reynolds number 4000 and above); roughness not below zero and at most a twentieth of the
    /// diameter.
    pub fn colebrook(self, roughness_mm: f64) -> Result<f64, DomainError> {
        let relative = self.relative_roughness(roughness_mm)?;
        let inverse_root = bisect("friction factor", 1.0, 100.0, |x| {
            x + 2.0 * (relative / 3.7 + 2.51 * x / self.reynolds).log10()
        })?;
        Ok(inverse_root.powi(-2))
    }

    /// Darcy friction factor by the explicit formula 0.25/log10²(ε/(3.7·d) + 5.74/Re^0.9), within about 1 % of
    /// Colebrook. Source: Swamee and Jain, J. Hydraulics Div. ASCE 102 (1976) 657.
    ///
    /// # Errors
    /// As [`Self::colebrook`].
    pub fn swamee_jain(self, roughness_mm: f64) -> Result<f64, DomainError> {
        let relative = self.relative_roughness(roughness_mm)?;
        Ok(0.25
            / (relative / 3.7 + 5.74 / self.reynolds.powf(0.9))
                .log10()
                .powi(2))
    }

    fn relative_roughness(self, roughness_mm: f64) -> Result<f64, DomainError> {
        within("Reynolds number", self.reynolds, 4000.0, f64::MAX)?;
        let most_mm = self.diameter_m * 1000.0 / 20.0; // the range of the experiments behind the formula
        Ok(within("roughness", roughness_mm, 0.0, most_mm)? / 1000.0 / self.diameter_m)
    }

    /// Velocity head v²/2g in m.
    #[must_use]
    pub fn velocity_head_m(self) -> f64 {
        self.velocity_m_per_s.powi(2) / (2.0 * STANDARD_GRAVITY)
    }

    /// Friction loss in m of head over a length in m: f·L/d·v²/2g (Darcy-Weisbach).
    ///
    /// # Errors
    /// Friction factor above zero, length not below it.
    pub fn darcy_loss_m(self, friction_factor: f64, length_m: f64) -> Result<f64, DomainError> {
        let along = not_negative("length", length_m)? / self.diameter_m;
        Ok(positive("friction factor", friction_factor)? * along * self.velocity_head_m())
    }

    /// Loss of a fitting in m of head: K·v²/2g.
    ///
    /// # Errors
    /// K must not be below zero.
    pub fn minor_loss_m(self, k: f64) -> Result<f64, DomainError> {
        Ok(not_negative("loss coefficient", k)? * self.velocity_head_m())
    }

    /// Friction loss in m of head over a length in m by Hazen and Williams, with coefficient C (150 for smooth plastic):
    /// 4.727·L·Q^1.852/(C^1.852·d^4.871) in ft and ft³/s, the form of the US EPA's EPANET manual. Temperature does not
    /// enter; the formula is meant for cool water in turbulent flow.
    ///
    /// # Errors
    /// C above zero, length not below it.
    pub fn hazen_williams_loss_m(self, c: f64, length_m: f64) -> Result<f64, DomainError> {
        let flow_m3_per_s = self.velocity_m_per_s * area_m2(self.diameter_m);
        let flow_ft3_per_s = flow_m3_per_s / METRE_PER_FOOT.powi(3);
        let diameter_ft = self.diameter_m / METRE_PER_FOOT;
        let per_length = 4.727 * (flow_ft3_per_s / positive("Hazen-Williams C", c)?).powf(1.852)
            / diameter_ft.powf(4.871);
        Ok(per_length * not_negative("length", length_m)?)
    }
}

fn area_m2(diameter_m: f64) -> f64 {
    PI / 4.0 * diameter_m * diameter_m
}

/// Flow in m³/h at a velocity in m/s through an inside diameter in mm (continuity, Q = v·A).
///
/// # Errors
/// Diameter above zero, velocity not below it.
pub fn flow_m3_per_h(velocity_m_per_s: f64, inside_mm: f64) -> Result<f64, DomainError> {
    let area = area_m2(positive("inside diameter", inside_mm)? / 1000.0);
    Ok(not_negative("velocity", velocity_m_per_s)? * area * 3600.0)
}

/// Pressure of the atmosphere in Pa at an altitude in m: 101325·(1 − 2.25577e-5·h)^5.25588.
/// Source: US Standard Atmosphere 1976, troposphere.
///
/// # Errors
/// −500 m to 11 000 m.
pub fn atmosphere_pa(altitude_m: f64) -> Result<f64, DomainError> {
    Ok(101_325.0
        * (1.0 - 2.255_77e-5 * within("altitude", altitude_m, -500.0, 11_000.0)?).powf(5.255_88))
}

/// A suction line that lifts water to a pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suction {
    /// Altitude of the place in m.
    pub altitude_m: f64,
    /// Water temperature in °C.
    pub celsius: f64,
    /// Height of the pump over the water in m; below zero where the suction is flooded.
    pub lift_m: f64,
    /// Friction in the suction line in m of head.
    pub loss_m: f64,
}

impl Suction {
    /// Highest lift in m that the atmosphere could hold without friction: (p_atm − p_vapour)/(ρ·g).
    ///
    /// # Errors
    /// Altitude within −500 m to 11 000 m, water between 0.01 °C and 110 °C and below boiling there.
    pub fn lift_max_m(self) -> Result<f64, DomainError> {
        let weight = density_kg_per_m3(self.celsius)? * STANDARD_GRAVITY;
        let pressure = atmosphere_pa(self.altitude_m)? - vapour_pressure_pa(self.celsius)?;
        Ok(positive("pressure over that of the vapour", pressure)? / weight)
    }

    /// Net positive suction head available in m: greatest lift less lift and friction. At or below zero the pump
    /// cannot draw. By convention the velocity head is not taken off.
    ///
    /// # Errors
    /// As [`Self::lift_max_m`]; friction not below zero.
    pub fn npsh_available_m(self) -> Result<f64, DomainError> {
        Ok(self.lift_max_m()?
            - finite("lift", self.lift_m)?
            - not_negative("friction", self.loss_m)?)
    }

    /// Vacuum in Pa that a gauge at the pump shows while it runs: (lift + friction)·ρ·g. Below zero where a flooded
    /// suction leaves pressure.
    ///
    /// # Errors
    /// Water between −20 °C and 110 °C, friction not below zero.
    pub fn vacuum_pa(self) -> Result<f64, DomainError> {
        let head = finite("lift", self.lift_m)? + not_negative("friction", self.loss_m)?;
        Ok(head * density_kg_per_m3(self.celsius)? * STANDARD_GRAVITY)
    }
}

/// Total dynamic head in m from the two gauges of a pump: discharge pressure and suction vacuum in Pa, and how far the
/// discharge gauge stands above the suction gauge in m. Water at 20 °C; the difference of the velocity heads is left
/// out. (p_d + p_s)/(ρ·g) + Δz.
///
/// # Errors
/// All must be finite and the sum above zero.
pub fn total_head_m(
    discharge_pa: f64,
    vacuum_pa: f64,
    gauge_height_m: f64,
) -> Result<f64, DomainError> {
    let pressure =
        finite("discharge pressure", discharge_pa)? + finite("suction vacuum", vacuum_pa)?;
    let head = pressure / (density_kg_per_m3(20.0)? * STANDARD_GRAVITY)
        + finite("gauge height", gauge_height_m)?;
    positive("head", head)
}
