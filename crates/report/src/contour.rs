//! Lines along which a number on a grid has a value, as closed loops around everything below it. Leaves out what the grid
//! is of.

use std::collections::BTreeMap;

use glam::DVec2;

/// Numbers on the nodes of a grid, row by row.
#[derive(Clone, Copy, Debug)]
pub struct Grid<'a> {
    /// Nodes in a row.
    pub n_columns: usize,
    /// The numbers; anything that is not finite counts as far above every level.
    pub values: &'a [f64],
}

/// A corner of a loop, in columns and rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Where, from 0 to one less than the number of nodes each way.
    pub at: DVec2,
    /// Whether the way from here to the next corner is a line of that value; else it runs along the border of the grid.
    pub is_line: bool,
}

/// Closed loops around the nodes below `level`, which lies on the left of their way: outer ones turn to the left, holes to
/// the right.
///
/// Marching squares, Lorensen and Cline (1987), "Marching cubes", SIGGRAPH 21, in the plane (from memory), straight between
/// two nodes; where a cell's corners are below crosswise, they are joined if their mean is below. What leaves the grid
/// closes along its border.
pub fn loops_below(grid: Grid, level: f64) -> Vec<Vec<Corner>> {
    let n_rows = grid.values.len() / grid.n_columns.max(1);
    if grid.n_columns < 2 || n_rows < 2 {
        return Vec::new();
    }
    let padded = Padded { grid, n_rows, level };
    let mut ways: BTreeMap<usize, (Corner, usize)> = BTreeMap::new();
    for row in 0..=n_rows {
        for column in 0..=grid.n_columns {
            padded.cell(column, row, &mut ways);
        }
    }
    let mut loops = Vec::new();
    while let Some((&first, _)) = ways.first_key_value() {
        let mut corners: Vec<Corner> = Vec::new();
        let mut here = first;
        while let Some((corner, next)) = ways.remove(&here) {
            corners.push(corner);
            here = next;
        }
        corners.dedup_by(|later, kept| {
            let same = later.at == kept.at;
            kept.is_line = if same { later.is_line } else { kept.is_line };
            same
        });
        if corners.len() > 2 {
            loops.push(corners);
        }
    }
    loops
}

/// The grid with a border of nodes above every level, at the places of its outermost nodes.
struct Padded<'a> {
    grid: Grid<'a>,
    n_rows: usize,
    level: f64,
}

impl Padded<'_> {
    fn value(&self, column: usize, row: usize) -> f64 {
        let inside = 1 <= column && column <= self.grid.n_columns && 1 <= row && row <= self.n_rows;
        let value = if inside {
            self.grid.values[(row - 1) * self.grid.n_columns + column - 1]
        } else {
            f64::INFINITY
        };
        if value.is_finite() { value } else { self.level + FAR }
    }

    fn place(&self, column: usize, row: usize) -> DVec2 {
        let within = |padded: usize, n: usize| (padded.max(1) - 1).min(n - 1) as f64;
        DVec2::new(within(column, self.grid.n_columns), within(row, self.n_rows))
    }

    /// The lines through the cell whose lowest corner is this padded node.
    fn cell(&self, column: usize, row: usize, ways: &mut BTreeMap<usize, (Corner, usize)>) {
        // Corners and edges counter-clockwise from the lowest: edge k runs from corner k to the next.
        let corners = [[column, row], [column + 1, row], [column + 1, row + 1], [column, row + 1]];
        let values = corners.map(|[column, row]| self.value(column, row));
        let below = values.map(|value| value < self.level);
        let leaves = |edge: usize| below[edge] && !below[(edge + 1) % 4];
        let enters = |edge: usize| !below[edge] && below[(edge + 1) % 4];
        let joined = values.iter().sum::<f64>() < 4.0 * self.level;
        let on_border = column == 0 || row == 0 || column == self.grid.n_columns || row == self.n_rows;
        for edge in (0..4).filter(|edge| leaves(*edge)) {
            // Around a single corner the line goes back to the edge before it; across, to the next one that enters.
            let mut order = (1..4).map(|step| (edge + if joined { step } else { 4 - step }) % 4);
            let Some(to) = order.find(|other| enters(*other)) else { continue };
            let corner = Corner { at: self.crossing(corners, values, edge), is_line: !on_border };
            ways.insert(self.edge_number(corners, edge), (corner, self.edge_number(corners, to)));
        }
    }

    fn crossing(&self, corners: [[usize; 2]; 4], values: [f64; 4], edge: usize) -> DVec2 {
        let next = (edge + 1) % 4;
        let [from, to] = [corners[edge], corners[next]].map(|[column, row]| self.place(column, row));
        from + (to - from) * ((self.level - values[edge]) / (values[next] - values[edge]))
    }

    /// The same number for the edge of either cell beside it.
    fn edge_number(&self, corners: [[usize; 2]; 4], edge: usize) -> usize {
        let (a, b) = (corners[edge], corners[(edge + 1) % 4]);
        let [column, row] = [a[0].min(b[0]), a[1].min(b[1])];
        let upright = usize::from(a[0] == b[0]);
        2 * (row * (self.grid.n_columns + 2) + column) + upright
    }
}

/// The parts of a loop that are lines of its value, border left out; `placed` has its corners wherever they are drawn.
pub fn stretches<P: Copy>(corners: &[Corner], placed: &[P]) -> Vec<Vec<P>> {
    let n = corners.len();
    let first = (0..n).find(|idx| !corners[*idx].is_line).map_or(0, |idx| idx + 1);
    let mut found: Vec<Vec<P>> = Vec::new();
    let mut open = false;
    for idx in (first..first + n).map(|idx| idx % n) {
        if corners[idx].is_line {
            if !open {
                found.push(vec![placed[idx]]);
            }
            if let Some(line) = found.last_mut() {
                line.push(placed[(idx + 1) % n]);
            }
        }
        open = corners[idx].is_line;
    }
    found
}

/// What is not on the grid counts as this much above a level, in its unit: far beside any gap in metres, so that a line ends
/// at the last node that is below.
const FAR: f64 = 1.0;

/// Stretches of parallel lines inside loops: `spacing` apart, turned by an angle. A point is inside where loops go around it.
pub fn hatch(loops: &[Vec<DVec2>], turn_rad: f64, spacing: f64) -> Vec<[DVec2; 2]> {
    let (to_level, back) = (DVec2::from_angle(-turn_rad), DVec2::from_angle(turn_rad));
    let turned: Vec<Vec<DVec2>> =
        loops.iter().map(|corners| corners.iter().map(|at| to_level.rotate(*at)).collect()).collect();
    let mut crossings: BTreeMap<i64, Vec<(f64, i32)>> = BTreeMap::new();
    for corners in &turned {
        for (idx, &from) in corners.iter().enumerate() {
            let to = corners[(idx + 1) % corners.len()];
            let (low, high, way) = if from.y < to.y { (from, to, 1) } else { (to, from, -1) };
            // A line that goes just through a corner crosses one of the two sides.
            let mut line = (low.y / spacing).ceil() as i64;
            while (line as f64) * spacing < high.y {
                let share = (line as f64 * spacing - low.y) / (high.y - low.y);
                crossings.entry(line).or_default().push((low.x + (high.x - low.x) * share, way));
                line += 1;
            }
        }
    }
    let mut stretches = Vec::new();
    for (line, mut along) in crossings {
        along.sort_by(|a, b| a.0.total_cmp(&b.0));
        let y = line as f64 * spacing;
        let (mut around, mut from) = (0, 0.0);
        for (x, way) in along {
            if around == 0 {
                from = x;
            }
            around += way;
            if around == 0 && x > from {
                stretches.push([DVec2::new(from, y), DVec2::new(x, y)].map(|at| back.rotate(at)));
            }
        }
    }
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(corners: &[Corner]) -> f64 {
        let n = corners.len();
        (0..n).map(|idx| 0.5 * corners[idx].at.perp_dot(corners[(idx + 1) % n].at)).sum()
    }

    #[test]
    fn exact_loops_of_a_cone_are_circles() {
        // Height of a cone about (20, 20) less 12: below it lies a circle of radius 12; less 5, a ring.
        let n = 41;
        let height = |idx: usize| {
            let at = DVec2::new((idx % n) as f64, (idx / n) as f64);
            at.distance(DVec2::splat(20.0))
        };
        let cone: Vec<f64> = (0..n * n).map(height).collect();
        let loops = loops_below(Grid { n_columns: n, values: &cone }, 12.0);
        assert_eq!(loops.len(), 1);
        assert!(loops[0].iter().all(|corner| corner.is_line));
        let circle = std::f64::consts::PI * 144.0;
        // Chords of a cell's length lie inside by a 1152nd of the radius squared: half a percent at the most.
        assert!((area(&loops[0]) / circle - 1.0).abs() < 5e-3, "{} {circle}", area(&loops[0]));
        let ring: Vec<f64> = cone.iter().map(|value| (value - 8.5).abs()).collect();
        let mut areas: Vec<f64> = loops_below(Grid { n_columns: n, values: &ring }, 3.5)
            .iter()
            .map(|corners| area(corners))
            .collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas.len(), 2);
        assert!(areas[0] < -70.0 && areas[1] > 440.0, "a hole turns to the right: {areas:?}");
    }

    #[test]
    fn exact_what_leaves_the_grid_closes_along_its_border() {
        // Below 1.5 everything left of it: a rectangle of 1.5 by 3.
        let values: Vec<f64> = (0..16).map(|idx| (idx % 4) as f64).collect();
        let loops = loops_below(Grid { n_columns: 4, values: &values }, 1.5);
        assert_eq!(loops.len(), 1);
        // What is not known counts as above.
        assert!((area(&loops[0]) - 4.5).abs() < 1e-9, "{}", area(&loops[0]));
        assert_eq!(loops[0].iter().filter(|corner| corner.is_line).count(), 3);
        let unknown = vec![f64::INFINITY; 16];
        assert!(loops_below(Grid { n_columns: 4, values: &unknown }, 1.5).is_empty());
    }

    #[test]
    fn exact_hatching_of_a_square_with_a_hole() {
        let square = |low: f64, high: f64| {
            vec![DVec2::splat(low), DVec2::new(high, low), DVec2::splat(high), DVec2::new(low, high)]
        };
        let mut hole = square(4.0, 6.0);
        hole.reverse();
        let length = |stretches: &[[DVec2; 2]]| stretches.iter().map(|[a, b]| a.distance(*b)).sum::<f64>();
        let stretches = hatch(&[square(0.0, 10.0), hole.clone()], 0.0, 0.1);
        // Area over spacing.
        assert!((length(&stretches) - 960.0).abs() < 1e-9, "{}", length(&stretches));
        let turned = hatch(&[square(0.0, 10.0), hole], 0.7, 0.01);
        assert!((length(&turned) - 9600.0).abs() < 10.0, "{}", length(&turned));
    }
}
