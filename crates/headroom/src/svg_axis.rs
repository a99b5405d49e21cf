//! Axes of our pictures: round ticks, their numbers, lines and texts that cannot break the SVG. Leaves out what is drawn.

use std::fmt::Write as _;

/// Step between ticks: 1, 2 or 5 times a power of ten, four to eight of them in the span.
pub(crate) fn tick(low: f64, high: f64) -> f64 {
    let span = high - low;
    if !(span.is_finite() && span > 0.0) {
        return 1.0;
    }
    let power = 10f64.powf((span / 4.0).log10().floor());
    let times = span / 4.0 / power;
    power
        * if times >= 5.0 {
            5.0
        } else if times >= 2.0 {
            2.0
        } else {
            1.0
        }
}

/// A tick's number with the decimals its step needs.
pub(crate) fn decimal(value: f64, step: f64) -> String {
    let decimals = (-step.log10().floor()).max(0.0) as usize;
    let text = format!("{value:.decimals$}");
    let zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if zero { "0".to_owned() } else { text.replace('-', "\u{2212}") }
}

/// A straight line.
pub(crate) fn line(out: &mut String, class: &str, from: [f64; 2], to: [f64; 2]) {
    let _ = writeln!(
        out,
        "<line class=\"{class}\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/>",
        from[0], from[1], to[0], to[1]
    );
}

/// A text.
pub(crate) fn text(out: &mut String, x: f64, y: f64, anchor: &str, text: &str) {
    let _ =
        writeln!(out, "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\">{}</text>", escaped(text));
}

/// Text that may stand in an element or in quotes.
pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_ticks_are_round_and_few() {
        for (low, high, step) in
            [(0.0, 10.2, 2.0), (-0.18, 0.18, 0.05), (0.0, 0.41, 0.1), (-0.0041, 0.0093, 0.002)]
        {
            let got = tick(low, high);
            assert!((got - step).abs() < 1e-12 * step, "{low} to {high}: {got}");
        }
        assert_eq!(decimal(-0.05, 0.05), "\u{2212}0.05");
        assert_eq!(decimal(-0.0, 0.05), "0");
        assert_eq!(decimal(12.0, 2.0), "12");
    }

    #[test]
    fn exact_names_cannot_break_the_picture() {
        assert_eq!(escaped("<Teal> & \"co\""), "&lt;Teal&gt; &amp; &quot;co&quot;");
    }
}
