//! The cautions that stand wherever a cut is proposed.

/// Printed on every drawing of a cut, in this order.
pub const CAUTIONS: [&str; 6] = [
    "Calculated from entered readings; verify by trial assembly with checking springs and clay.",
    "Limits are conventions with their source, not guarantees.",
    "Sonic-check before boring or notching, pressure-test after.",
    "A cut weakens the part; break every edge by 0.5 to 1 mm, and try it on a scrap part first.",
    "Springs, rotating parts, fuel and exhaust gas hurt people: guards, ventilation, trained operators.",
    "Road use: emission and inspection rules of the place apply; licensed practice decides.",
];
