//! Where one sweep of a recording ends and the next begins. Leaves out reading the file.

use std::ops::Range;

use crate::pull::Sweep;

/// A reversal smaller than this is a wobble, in rpm.
const LEAST_REVERSAL_RPM: f64 = 150.0;
/// A reversal smaller than this share of the whole span is one too.
const LEAST_REVERSAL_SHARE: f64 = 0.15;
/// A piece that covers less than this share of the longest is let go: running up to the start, spinning down.
const LEAST_PIECE_SHARE: f64 = 0.5;
/// Readings a piece has at least.
const LEAST_ROWS: usize = 4;

/// A piece of a recording.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Its rows.
    pub rows: Range<usize>,
    /// How the speed moved.
    pub sweep: Sweep,
}

/// Pieces worth keeping, and the rows that belong to none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Pieces {
    /// In the order they were made.
    pub kept: Vec<Piece>,
    /// Rows let go.
    pub dropped: Vec<Range<usize>>,
}

/// Splits speeds, in the order they were made, where they turn round.
pub fn split(speed_rpm: &[f64]) -> Pieces {
    let span = |speeds: &[f64]| {
        let high = speeds.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        high - speeds.iter().copied().fold(f64::INFINITY, f64::min)
    };
    if speed_rpm.is_empty() {
        return Pieces::default();
    }
    let reversal = LEAST_REVERSAL_RPM.max(LEAST_REVERSAL_SHARE * span(speed_rpm));
    let mut turns = vec![0];
    turns.extend(turning_points(speed_rpm, reversal));
    turns.push(speed_rpm.len() - 1);
    turns.dedup();
    let mut pieces: Vec<Piece> = Vec::new();
    for (idx, pair) in turns.windows(2).enumerate() {
        // The reading at a turn belongs to the sweep that ends there.
        let from = if idx == 0 { pair[0] } else { pair[0] + 1 };
        let sweep = if speed_rpm[pair[0]] <= speed_rpm[pair[1]] { Sweep::Up } else { Sweep::Down };
        pieces.push(Piece { rows: from..pair[1] + 1, sweep });
    }
    if pieces.is_empty() {
        pieces.push(Piece { rows: 0..speed_rpm.len(), sweep: Sweep::Up });
    }
    let longest = pieces.iter().map(|piece| span(&speed_rpm[piece.rows.clone()])).fold(0.0, f64::max);
    let (kept, dropped): (Vec<Piece>, Vec<Piece>) = pieces.into_iter().partition(|piece| {
        piece.rows.len() >= LEAST_ROWS && span(&speed_rpm[piece.rows.clone()]) >= LEAST_PIECE_SHARE * longest
    });
    Pieces { kept, dropped: dropped.into_iter().map(|piece| piece.rows).collect() }
}

/// Indices of the highest and lowest speeds between reversals of at least `reversal`, found with one pass: an extreme is
/// sure once the speed has moved away from it that far.
fn turning_points(speeds: &[f64], reversal: f64) -> Vec<usize> {
    let mut turns = Vec::new();
    let (mut low, mut high) = (0, 0);
    let mut rising: Option<bool> = None;
    for (idx, speed) in speeds.iter().enumerate() {
        if *speed > speeds[high] {
            high = idx;
        }
        if *speed < speeds[low] {
            low = idx;
        }
        if rising != Some(false) && speeds[high] - speed >= reversal {
            if rising == Some(true) || high > 0 {
                turns.push(high);
            }
            rising = Some(false);
            low = idx;
            high = idx;
        } else if rising != Some(true) && speed - speeds[low] >= reversal {
            if rising == Some(false) || low > 0 {
                turns.push(low);
            }
            rising = Some(true);
            high = idx;
            low = idx;
        }
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ramp(from: f64, to: f64, n: usize) -> Vec<f64> {
        (0..n).map(|idx| from + (to - from) * idx as f64 / n as f64).collect()
    }

    #[test]
    fn exact_up_and_down_come_apart() {
        let speeds = [ramp(2500.0, 6500.0, 80), ramp(6500.0, 2500.0, 81)].concat();
        let pieces = split(&speeds);
        assert_eq!(
            pieces.kept,
            [Piece { rows: 0..81, sweep: Sweep::Up }, Piece { rows: 81..161, sweep: Sweep::Down }]
        );
        assert!(pieces.dropped.is_empty());
    }

    #[test]
    fn exact_settling_and_spinning_down_are_let_go() {
        // Down to the start speed by 900 rpm, the pull, and the throttle closed for the last 1,500 rpm.
        let speeds = [ramp(3400.0, 2500.0, 20), ramp(2500.0, 6500.0, 100), ramp(6500.0, 5000.0, 10)].concat();
        let pieces = split(&speeds);
        assert_eq!(pieces.kept.len(), 1);
        assert_eq!(pieces.kept[0].sweep, Sweep::Up);
        assert_eq!(pieces.dropped.len(), 2);
    }

    #[test]
    fn exact_a_wobble_is_no_turn() {
        let speeds: Vec<f64> = ramp(2500.0, 6500.0, 400)
            .iter()
            .enumerate()
            .map(|(idx, n)| n + 60.0 * (idx as f64).sin())
            .collect();
        assert_eq!(split(&speeds).kept.len(), 1);
        assert_eq!(split(&[]).kept.len(), 0);
        assert_eq!(split(&[3000.0]).kept.len(), 0);
    }
}
