//! Which ground a picture stands on: the same SVG for a light page or a dark one. Leaves out how it is painted.

/// What a picture stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ground {
    /// Dark lines on white.
    Light,
    /// Light lines on nearly black.
    Dark,
}

/// Where the style of our charts says what a dark page gets.
const DARK_RULE: &str = "@media (prefers-color-scheme: dark) {";

/// Lightness that white and black become on a dark ground; what lies between goes in a straight line.
const WHITE_BECOMES: f64 = 0.1;
const BLACK_BECOMES: f64 = 0.92;

impl Ground {
    /// A word for file names.
    pub fn word(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Dark => "dark",
        }
    }

    /// The colour itself, red, green, blue: that of our charts.
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Self::Light => [0xff, 0xff, 0xff],
            Self::Dark => [0x14, 0x19, 0x1f],
        }
    }
}

/// The SVG as it looks on a ground, whatever the reader's page is: a style with a rule for dark pages has the rule taken in or
/// left out; one without, as drawings for paper have, has its colours' lightness turned over for a dark ground.
pub fn on_ground(svg: &str, ground: Ground) -> String {
    match (ground, dark_rule(svg)) {
        (Ground::Light, None) => svg.to_owned(),
        (Ground::Light, Some([from, _, to])) => [&svg[..from], &svg[to + 1..]].concat(),
        (Ground::Dark, Some([from, inside, to])) => [&svg[..from], &svg[inside..to], &svg[to + 1..]].concat(),
        (Ground::Dark, None) => turned_over(svg),
    }
}

/// Where the rule for dark pages begins, where its inside does, and where its closing brace stands.
fn dark_rule(svg: &str) -> Option<[usize; 3]> {
    let from = svg.find(DARK_RULE)?;
    let inside = from + DARK_RULE.len();
    let mut depth = 1;
    for (idx, byte) in svg[inside..].bytes().enumerate() {
        match byte {
            b'{' => depth += 1,
            b'}' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return Some([from, inside, inside + idx]);
        }
    }
    None
}

/// Every colour that stands as an attribute, light for dark with its hue kept.
fn turned_over(svg: &str) -> String {
    let mut out = String::with_capacity(svg.len());
    let mut rest = svg;
    while let Some(at) = rest.find("=\"#") {
        let (before, from) = rest.split_at(at + 3);
        let end = from.find('"').unwrap_or(from.len());
        out.push_str(before);
        match rgb(&from[..end]) {
            Some(color) => {
                let [r, g, b] = if color == [0xff; 3] { Ground::Dark.rgb() } else { turned(color) };
                out.push_str(&format!("{r:02x}{g:02x}{b:02x}"));
            }
            None => out.push_str(&from[..end]),
        }
        rest = &from[end..];
    }
    out.push_str(rest);
    out
}

/// Three or six hexadecimal digits.
fn rgb(digits: &str) -> Option<[u8; 3]> {
    let wide: String = match digits.len() {
        3 => digits.chars().flat_map(|digit| [digit, digit]).collect(),
        6 => digits.to_owned(),
        _ => return None,
    };
    let part = |idx: usize| u8::from_str_radix(wide.get(2 * idx..2 * idx + 2)?, 16).ok();
    Some([part(0)?, part(1)?, part(2)?])
}

/// A colour with its lightness turned over, hue and saturation kept (HSL: lightness is the middle of the largest and smallest
/// part, saturation their distance over the most that lightness allows; Joblove and Greenberg (1978), Color spaces for computer
/// graphics, from memory).
fn turned(color: [u8; 3]) -> [u8; 3] {
    let parts = color.map(|part| f64::from(part) / 255.0);
    let [low, high] =
        [parts.iter().fold(1.0, |a: f64, b| a.min(*b)), parts.iter().fold(0.0, |a: f64, b| a.max(*b))];
    let lightness = 0.5 * (low + high);
    let room = |lightness: f64| 1.0 - (2.0 * lightness - 1.0).abs();
    let saturation = if high > low { (high - low) / room(lightness) } else { 0.0 };
    let then = BLACK_BECOMES + (WHITE_BECOMES - BLACK_BECOMES) * lightness;
    let spread = saturation * room(then);
    parts.map(|part| {
        let along = if high > low { (part - low) / (high - low) - 0.5 } else { 0.0 };
        (255.0 * (then + along * spread)).round() as u8
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const CHART: &str = "<svg><style> .g { fill: #fff; } @media (prefers-color-scheme: dark) { .g { fill: #14191f; } } </style></svg>";

    #[test]
    fn exact_the_rule_for_dark_pages_is_taken_in_or_left_out() {
        let [light, dark] = [Ground::Light, Ground::Dark].map(|ground| on_ground(CHART, ground));
        assert_eq!(light, "<svg><style> .g { fill: #fff; }  </style></svg>");
        assert_eq!(dark, "<svg><style> .g { fill: #fff; }  .g { fill: #14191f; }  </style></svg>");
    }

    #[test]
    fn exact_colours_of_a_drawing_are_turned_over_and_keep_their_hue() {
        let drawing =
            "<rect fill=\"#fff\"/><path stroke=\"#000000\"/><path stroke=\"#c00000\"/><use href=\"#name\"/>";
        let dark = on_ground(drawing, Ground::Dark);
        assert!(dark.starts_with("<rect fill=\"#14191f\"/><path stroke=\"#ebebeb\"/>"), "{dark}");
        assert!(dark.ends_with("<use href=\"#name\"/>"), "what is no colour is left: {dark}");
        let red = turned([0xc0, 0, 0]);
        assert!(red[0] > 0xd0 && red[1] == red[2] && red[1] > 0x30, "{red:?}");
        assert_eq!(on_ground(drawing, Ground::Light), drawing);
    }
}
