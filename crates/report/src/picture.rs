//! An SVG as PNG for a slide, a video or a page: on a ground, in the middle of a picture of so many dots. Leaves out drawings at
//! full size: `png.rs`.

use resvg::tiny_skia::{Color, Pixmap, Rect, Transform};
use resvg::usvg::{Group, Node, Options, Tree};

use crate::ground::{Ground, on_ground};
use crate::png::{PngError, fonts, packed};

/// Dots of a slide or a video, across and down.
pub const SLIDE: [u32; 2] = [1920, 1080];

/// Dots left free around what stands on a slide.
const MARGIN: f32 = 36.0;

/// What covers this share of the picture either way covers all of it, but for rounding.
const ALL: f32 = 0.999;

/// Most dots across or down: what a picture of a strange shape is cut to.
const MOST_DOTS: f32 = 20_000.0;

/// What stands in the SVG, its empty borders left off, as large as fits a slide, in its middle.
pub fn slide(svg: &str, ground: Ground) -> Result<Vec<u8>, PngError> {
    let tree = tree(svg, ground)?;
    let drawn = drawn(&tree);
    let room = SLIDE.map(|side| side as f32 - 2.0 * MARGIN);
    let scale = (room[0] / drawn.width()).min(room[1] / drawn.height());
    painted(&tree, SLIDE, scale, drawn, ground)
}

/// The SVG so many dots wide, as high as it comes to.
pub fn picture(svg: &str, width: u32, ground: Ground) -> Result<Vec<u8>, PngError> {
    let tree = tree(svg, ground)?;
    let scale = width as f32 / tree.size().width();
    let height = (tree.size().height() * scale).round().clamp(1.0, MOST_DOTS) as u32;
    painted(&tree, [width, height], scale, whole(&tree), ground)
}

fn whole(tree: &Tree) -> Rect {
    tree.size().to_rect(0.0, 0.0).expect("a picture has a size")
}

/// The least box around what is drawn; the ground is not, and covers all of it.
fn drawn(tree: &Tree) -> Rect {
    let whole = whole(tree);
    let mut boxes = Vec::new();
    gather(tree.root(), &mut boxes);
    let ground = |one: &Rect| one.width() >= ALL * whole.width() && one.height() >= ALL * whole.height();
    let inside = boxes.into_iter().filter(|one| !ground(one));
    let around = |a: Rect, b: Rect| {
        Rect::from_ltrb(
            a.left().min(b.left()),
            a.top().min(b.top()),
            a.right().max(b.right()),
            a.bottom().max(b.bottom()),
        )
    };
    let union = inside.map(Some).reduce(|a, b| around(a?, b?)).flatten();
    union.filter(|one| one.width() > 0.0 && one.height() > 0.0).unwrap_or(whole)
}

fn tree(svg: &str, ground: Ground) -> Result<Tree, PngError> {
    let options = Options { fontdb: fonts(), ..Options::default() };
    Ok(Tree::from_str(&on_ground(svg, ground), &options)?)
}

/// The boxes of everything that is drawn, however deep it stands.
fn gather(group: &Group, boxes: &mut Vec<Rect>) {
    for node in group.children() {
        match node {
            Node::Group(inner) => gather(inner, boxes),
            other => boxes.push(other.abs_stroke_bounding_box()),
        }
    }
}

/// A part of the picture in the middle of so many dots. The same input makes the same bytes.
fn painted(
    tree: &Tree,
    [width, height]: [u32; 2],
    scale: f32,
    part: Rect,
    ground: Ground,
) -> Result<Vec<u8>, PngError> {
    let mut picture = Pixmap::new(width, height).ok_or(PngError::Size(width, height))?;
    let [r, g, b] = ground.rgb();
    picture.fill(Color::from_rgba8(r, g, b, 255));
    let aside = |dots: u32, low: f32, high: f32| 0.5 * (dots as f32 - scale * (low + high));
    let (x, y) = (aside(width, part.left(), part.right()), aside(height, part.top(), part.bottom()));
    let place = Transform::from_row(scale, 0.0, 0.0, scale, x, y);
    resvg::render(tree, place, &mut picture.as_mut());
    packed(&picture, None)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    const SQUARE: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 10 20\"><style> .g { fill: #ff0000; }
        @media (prefers-color-scheme: dark) { .g { fill: #00ff00; } } </style><rect class=\"g\" width=\"10\" height=\"20\"/></svg>";

    /// Width, height and the dots, read back.
    fn read(png: &[u8]) -> (u32, u32, Vec<u8>) {
        let mut reader = ::png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
        let mut dots = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut dots).unwrap();
        (info.width, info.height, dots)
    }

    #[test]
    fn exact_a_slide_has_its_size_its_ground_and_the_picture_in_its_middle() {
        for (ground, of_picture) in [(Ground::Light, [255, 0, 0]), (Ground::Dark, [0, 255, 0])] {
            let (width, height, dots) = read(&slide(SQUARE, ground).unwrap());
            assert_eq!([width, height], SLIDE);
            let at = |x: u32, y: u32| &dots[3 * (y * width + x) as usize..][..3];
            assert_eq!(at(2, 2), ground.rgb(), "{ground:?}");
            assert_eq!(at(960, 540), of_picture, "{ground:?}");
            // 1080 less two margins high, half as wide.
            assert_eq!(at(960 - 250, 540), of_picture, "{ground:?}");
            assert_eq!(at(960 - 254, 540), ground.rgb(), "{ground:?}");
        }
    }

    #[test]
    fn exact_a_slide_leaves_empty_borders_off() {
        let page = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100.3mm\" height=\"200.7mm\" viewBox=\"0 0 100.3 200.7\">
            <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>
            <rect x=\"10\" y=\"20\" width=\"40\" height=\"20\" fill=\"#ff0000\"/></svg>";
        let (width, _, dots) = read(&slide(page, Ground::Light).unwrap());
        let at = |x: u32, y: u32| &dots[3 * (y * width + x) as usize..][..3];
        // Twice as wide as high in 1848 by 1008: as wide as fits, 924 high about the middle.
        assert_eq!([at(40, 540), at(1880, 540), at(960, 90), at(960, 990)], [[255, 0, 0]; 4]);
        assert_eq!([at(30, 540), at(960, 70), at(960, 1010)], [[255; 3]; 3]);
    }

    #[test]
    fn exact_a_picture_keeps_its_shape() {
        let (width, height, _) = read(&picture(SQUARE, 300, Ground::Light).unwrap());
        assert_eq!([width, height], [300, 600]);
        assert!(picture("<svg", 300, Ground::Light).is_err());
    }
}
