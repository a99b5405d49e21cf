//! One panel of a picture over engine speed: where a value stands, its grid, ticks and name. Leaves out the curves.

use std::fmt::Write as _;

use crate::pulls_words;
use crate::svg_axis::{decimal, escaped, line, text, tick};

/// Where things stand: a panel's ends in numbers and in pixels.
pub(crate) struct Panel {
    low_rpm: f64,
    high_rpm: f64,
    low: f64,
    high: f64,
    step: f64,
    /// Ends across, pixels.
    left: f64,
    right: f64,
    /// Upper edge and height, pixels.
    pub(crate) top: f64,
    pub(crate) height: f64,
    /// Size of the numbers, pixels.
    letters: f64,
}

/// Where a panel stands on the page, in pixels, and how large its numbers are written.
#[derive(Clone, Copy)]
pub(crate) struct Frame {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    pub(crate) height: f64,
    pub(crate) letters: f64,
}

impl Panel {
    /// From the lowest to the highest value, rounded outwards to ticks.
    pub(crate) fn new(band_rpm: (f64, f64), low: f64, high: f64, frame: Frame) -> Self {
        let step = tick(low, high);
        let (low, high) = ((low / step).floor() * step, (high / step).ceil() * step);
        let high = if high > low { high } else { low + step };
        let Frame { left, right, top, height, letters } = frame;
        Self { low_rpm: band_rpm.0, high_rpm: band_rpm.1, low, high, step, left, right, top, height, letters }
    }

    fn across(&self, rpm: f64) -> f64 {
        self.left + (self.right - self.left) * (rpm - self.low_rpm) / (self.high_rpm - self.low_rpm)
    }

    fn up(&self, value: f64) -> f64 {
        self.top + self.height * (self.high - value) / (self.high - self.low)
    }

    /// A place in pixels.
    pub(crate) fn place(&self, rpm: f64, value: f64) -> [f64; 2] {
        [self.across(rpm), self.up(value)]
    }

    /// The same as a polyline wants it.
    pub(crate) fn point(&self, rpm: f64, value: f64) -> String {
        let [x, y] = self.place(rpm, value);
        format!("{x:.1},{y:.1}")
    }

    /// Ticks, grid and name.
    pub(crate) fn grid(&self, out: &mut String, name: &str) {
        let letters = self.letters;
        for idx in 0..=((self.high - self.low) / self.step).round() as i32 {
            let value = self.low + f64::from(idx) * self.step;
            let class = if value.abs() < 0.5 * self.step { "zero" } else { "grid" };
            line(out, class, [self.left, self.up(value)], [self.right, self.up(value)]);
            text(out, self.left - 8.0, self.up(value) + 0.35 * letters, "end", &decimal(value, self.step));
        }
        let step_rpm = tick(self.low_rpm, self.high_rpm);
        let mut rpm = (self.low_rpm / step_rpm).ceil() * step_rpm;
        while rpm <= self.high_rpm {
            let x = self.across(rpm);
            line(out, "grid", [x, self.top], [x, self.top + self.height]);
            let below = self.top + self.height + 5.0 + letters;
            text(out, x, below, "middle", &pulls_words::thousands(rpm));
            rpm += step_rpm;
        }
        let (x, y) = (letters + 7.0, self.top + 0.5 * self.height);
        let _ = writeln!(
            out,
            "<text x=\"{x}\" y=\"{y:.1}\" text-anchor=\"middle\" transform=\"rotate(-90 {x} {y:.1})\">{}</text>",
            escaped(name)
        );
    }
}
