//! The tolerance a reading gets when its text gives none: what an instrument and a careful person reach, what a
//! catalogue figure is worth on a real part, and what a guess is worth.
//!
//! All are 95 % half-widths in the metric unit of the quantity. Where no publication is named the figures are common
//! practice, no source.

use units::Basis;

/// The usual tolerances of a reading, one for each basis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usual {
    /// Taken from the part.
    pub measured: f64,
    /// From a maker's sheet.
    pub catalogue: f64,
    /// Guessed by whoever wrote the sheet.
    pub assumed: f64,
    /// Where the figures come from.
    pub source: &'static str,
}

impl Usual {
    /// The tolerance for a basis.
    pub fn of(&self, basis: Basis) -> f64 {
        match basis {
            Basis::Measured => self.measured,
            Basis::Catalogue => self.catalogue,
            Basis::Assumed => self.assumed,
        }
    }
}

const fn usual(measured: f64, catalogue: f64, assumed: f64, source: &'static str) -> Usual {
    Usual { measured, catalogue, assumed, source }
}

/// Bore gauge and setting ring, mm.
pub const BORE_GAUGE: Usual =
    usual(0.013, 0.03, 0.5, "bore gauge ±0.0002 to 0.0005 in plus setting (common practice, no source)");

/// Crank stroke or a rod's centre distance, mm: a direct measurement is rare, a grind is held closely.
pub const CRANK_TRAIN: Usual = usual(
    0.05,
    0.05,
    1.0,
    "dial indicator over the throw, crank grinding tolerance (common practice, no source)",
);

/// Callipers on an outside or inside edge, mm.
pub const CALLIPER: Usual =
    usual(0.05, 0.1, 0.5, "callipers ±0.02 to 0.03 mm, operator 0.002 in (gauging handbooks)");

/// A dial indicator, drop gauge or depth micrometer across a bridge, mm.
pub const DEPTH: Usual = usual(0.03, 0.1, 0.5, "dial indicator about ±0.001 in (gauging handbooks)");

/// Torqued gasket thickness, mm: from a used gasket under a micrometer, or from a card.
pub const GASKET_THICKNESS: Usual =
    usual(0.05, 0.08, 0.4, "micrometer on the flattened bead at several places (common practice, no source)");

/// A sonic tester in a bore, mm.
pub const SONIC: Usual =
    usual(0.25, 0.5, 1.0, "sonic tester on rough castings, 0.010 in (common practice, no source)");

/// A centre located from edges, dowels or a template, mm.
pub const POSITION: Usual = usual(
    0.2,
    0.25,
    1.0,
    "root sum of squares of dowel slop, guide play and centre measurement, 0.008 in (worked from shop tolerances)",
);

/// An edge traced or scribed through, mm.
pub const TRACING: Usual = usual(0.2, 0.2, 0.5, "scribed line and callipers (common practice, no source)");

/// A valve or seat angle, degrees.
pub const ANGLE: Usual =
    usual(0.5, 0.5, 1.0, "unmeasured angles are held to about 1 degree (common practice, no source)");

/// A twist of the whole head, degrees.
pub const TWIST: Usual = usual(0.03, 0.05, 0.1, "dowel slop over 200 mm (common practice, no source)");

/// One burette fill through a plate, cc.
pub const BURETTE: Usual = usual(
    0.3,
    1.0,
    3.0,
    "whole operation ±0.2 to 0.5 cc, class B burette ±0.2 cc (racing press, engine courses)",
);

/// Two burette fills subtracted, cc.
pub const TWO_FILLS: Usual = usual(0.5, 0.5, 3.0, "the errors of two fills add (racing press)");

/// Valve travel under a dial indicator, mm; a card figure stands on a nominal rocker ratio.
pub const TRAVEL: Usual = usual(
    0.05,
    0.2,
    0.5,
    "dial indicator ±0.001 in and its mounting; real rocker ratios differ (common practice, no source)",
);

/// Lift of a tappet, mm: under a dial indicator, or from a cam card.
pub const LOBE_LIFT: Usual = usual(
    0.03,
    0.05,
    0.5,
    "dial indicator ±0.0005 to 0.001 in; ground lobes against their card (common practice, no source)",
);

/// Valve lift at one crank angle near top dead centre, mm: indicator and degree wheel together, the valve moves about
/// 0.1 mm a degree there.
pub const PIN: Usual =
    usual(0.08, 0.2, 0.5, "dial indicator and ±0.5 degree of the wheel (common practice, no source)");

/// Lift gained in one cam degree on a ramp, mm.
pub const RAMP: Usual =
    usual(0.002, 0.001, 0.01, "from neighbouring rows of a table (common practice, no source)");

/// A crank angle on the degree wheel, or from a cam card, degrees.
pub const CAM_ANGLE: Usual = usual(
    0.5,
    1.0,
    3.0,
    "degree wheel ±0.25 to 0.5 degrees; cards against ground lobes (common practice, no source)",
);

/// A rocker ratio: of twenty rockers stamped 1.6 most ran at about 1.65 and one at 1.6 (racing press).
pub const ROCKER_RATIO: Usual =
    usual(0.01, 0.05, 0.1, "twenty rockers stamped 1.6 ran from 1.6 to 1.668 (racing press)");

/// A lash under a feeler gauge, mm.
pub const LASH: Usual = usual(0.03, 0.03, 0.1, "feel of a gauge, 0.001 in (common practice, no source)");

/// A part on scales, g.
pub const SCALE: Usual = usual(0.5, 5.0, 20.0, "kitchen scales read to 1 g (common practice, no source)");

/// A spring's load, N.
pub const SPRING_LOAD: Usual = usual(
    10.0,
    45.0,
    100.0,
    "bench testers about 2 lb, catalogue loads about 10 lb (common practice, no source)",
);

/// A spring's rate, N/mm.
pub const SPRING_RATE: Usual =
    usual(1.0, 3.0, 10.0, "two loads 10 mm apart; catalogue rates about 10 % (common practice, no source)");

/// Thickness of a wire, mm.
pub const WIRE: Usual = usual(0.02, 0.05, 0.3, "callipers on bright wire (common practice, no source)");

/// Number of coils that work.
pub const COILS: Usual =
    usual(0.15, 0.25, 0.5, "where end coils lift off is a matter of judgement (common practice, no source)");

/// An engine speed, rpm.
pub const TACHOMETER: Usual =
    usual(50.0, 100.0, 300.0, "limiters hold about 50 rpm, dials 2 % (common practice, no source)");

/// Length along the middle of a pipe, mm.
pub const PIPE_LENGTH: Usual =
    usual(3.0, 5.0, 50.0, "tape along a bend's middle (common practice, no source)");

/// Volume of a plenum, manifold or silencer, cc.
pub const CHAMBER_OF_PIPES: Usual =
    usual(20.0, 100.0, 1000.0, "filled with water and weighed (common practice, no source)");

/// A share or coefficient, as a bare number.
pub const SHARE: Usual = usual(0.02, 0.05, 0.1, "read off a map or judged (common practice, no source)");

/// Test pressure of a flow bench, kPa.
pub const BENCH_PRESSURE: Usual =
    usual(0.03, 0.1, 0.5, "manometer held to 0.1 in of water (common practice, no source)");

/// Flow of an air cleaner, l/s.
pub const AIR_FLOW: Usual = usual(5.0, 10.0, 50.0, "between benches 5 to 20 % (racing press)");

/// Pressure drop of an air cleaner, kPa.
pub const PRESSURE_DROP: Usual =
    usual(0.1, 0.3, 1.0, "water manometer on a pulsing flow (common practice, no source)");

/// Boost or back pressure, kPa.
pub const GAUGE: Usual = usual(3.0, 5.0, 20.0, "dial gauge of 1.6 % (common practice, no source)");

/// Barometer, kPa.
pub const BAROMETER: Usual = usual(0.1, 0.3, 1.5, "station barometer 0.1 kPa (engine test regulations)");

/// Temperature of air, K.
pub const AIR_TEMPERATURE: Usual = usual(1.0, 3.0, 10.0, "thermometer 1 K (engine test regulations)");

/// Relative humidity.
pub const HYGROMETER: Usual = usual(0.05, 0.1, 0.3, "hygrometer 3 to 5 % (common practice, no source)");

/// Temperature of a wall, K.
pub const WALL_TEMPERATURE: Usual =
    usual(15.0, 30.0, 60.0, "a wall is not the same all over (common practice, no source)");

/// Air over what the fuel needs.
pub const LAMBDA_PROBE: Usual = usual(0.02, 0.03, 0.05, "wide-band probe 0.02 (common practice, no source)");

/// Air over fuel by mass.
pub const AFR: Usual = usual(0.3, 0.4, 0.8, "wide-band probe 0.02 of lambda (common practice, no source)");

/// Octane number.
pub const OCTANE: Usual =
    usual(0.5, 1.0, 3.0, "reproducibility of the engine test (common practice, no source)");

/// Angle of the burn, degrees.
pub const BURN_ANGLE: Usual =
    usual(1.5, 3.0, 6.0, "from cylinder pressure, cycle to cycle averaged (common practice, no source)");

/// Factor on a published correlation.
pub const FACTOR: Usual = usual(0.05, 0.1, 0.2, "what correlations scatter by (common practice, no source)");

/// A setting or a limit that is what somebody says it is.
pub const AS_SAID: Usual = usual(0.0, 0.0, 0.0, "as said");
