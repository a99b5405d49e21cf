//! Volumes and compression as JSON: volumes in cc, lengths in millimetres, each with its unit in its name.

use serde::Serialize;
use units::length::millimeter;
use units::pressure::kilopascal;
use units::volume::cubic_centimeter;
use units::{Length, Quantity, Ratio, Reading, Volume};

use crate::volumes::{CylinderVolumes, VolumesAnswer};
use crate::volumes_change::{ChangeShare, CompressionChange, CylinderChange};
use crate::volumes_effective::EffectiveCompression;
use crate::volumes_propagate::ReadingEffect;
use crate::volumes_shares::Amount;
use crate::volumes_words::{CAUTION, CRANKING_CAUTION, share_of_variance};
use crate::wire::FORMAT;

/// [`VolumesAnswer`], and [`CompressionChange`] where a candidate was asked about.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct VolumesWire {
    format: u32,
    name: String,
    verdict: Vec<String>,
    displacement_cc: f64,
    groups: Vec<GroupWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    change: Option<ChangeWire>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    effective: Vec<EffectiveWire>,
    cautions: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct GroupWire {
    cylinders: Vec<usize>,
    compression: RatioWire,
    swept: VolumeWire,
    clearance: VolumeWire,
    parts: Vec<PartWire>,
    quench: LengthWire,
    effects_on_compression: Vec<EffectWire>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PartWire {
    part: &'static str,
    #[serde(flatten)]
    volume: VolumeWire,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct EffectiveWire {
    cylinders: Vec<usize>,
    compression: f64,
    cranking_gauge_kpa: [f64; 2],
}

/// [`CompressionChange`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ChangeWire {
    base: String,
    candidate: String,
    groups: Vec<GroupChangeWire>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unpaired_cylinders: Vec<usize>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct GroupChangeWire {
    cylinders: Vec<usize>,
    base: RatioWire,
    candidate: RatioWire,
    difference: RatioWire,
    shares: Vec<ShareWire>,
    effects_on_difference: Vec<EffectWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema), schema(as = VolumesShareWire))]
struct ShareWire {
    change: &'static str,
    before: AmountWire,
    after: AmountWire,
    #[serde(flatten)]
    share: RatioWire,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
enum AmountWire {
    Mm(f64),
    Cc(f64),
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct RatioWire {
    value: f64,
    tolerance: f64,
    basis: &'static str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct VolumeWire {
    value_cc: f64,
    tolerance_cc: f64,
    basis: &'static str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct LengthWire {
    value_mm: f64,
    tolerance_mm: f64,
    basis: &'static str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct EffectWire {
    path: String,
    value_si: f64,
    tolerance_si: f64,
    basis: &'static str,
    effect: f64,
    share_of_variance: f64,
}

impl VolumesWire {
    /// The answer with its verdict in words.
    pub fn new(
        answer: &VolumesAnswer,
        change: Option<&CompressionChange>,
        effective: &[EffectiveCompression],
        verdict: Vec<String>,
    ) -> Self {
        Self {
            format: FORMAT,
            name: answer.build.clone(),
            verdict,
            displacement_cc: cc(answer.displacement),
            groups: answer.groups.iter().map(GroupWire::from).collect(),
            change: change.map(ChangeWire::from),
            effective: effective.iter().map(EffectiveWire::from).collect(),
            cautions: vec![CAUTION, CRANKING_CAUTION][..if effective.is_empty() { 1 } else { 2 }].to_vec(),
        }
    }
}

impl From<&CylinderVolumes> for GroupWire {
    fn from(group: &CylinderVolumes) -> Self {
        let parts = group.parts.iter();
        Self {
            cylinders: group.cylinders.clone(),
            compression: RatioWire::from(&group.compression),
            swept: VolumeWire::from(&group.swept),
            clearance: VolumeWire::from(&group.clearance),
            parts: parts
                .filter(|one| one.is_told())
                .map(|one| PartWire { part: one.part.word(), volume: VolumeWire::from(&one.volume) })
                .collect(),
            quench: LengthWire::from(&group.quench),
            effects_on_compression: effects(&group.effects),
            notes: group.notes.clone(),
        }
    }
}

impl From<&EffectiveCompression> for EffectiveWire {
    fn from(effective: &EffectiveCompression) -> Self {
        Self {
            cylinders: effective.cylinders.clone(),
            compression: rounded(effective.compression),
            cranking_gauge_kpa: effective.cranking.map(|pressure| rounded(pressure.get::<kilopascal>())),
        }
    }
}

impl From<&CompressionChange> for ChangeWire {
    fn from(change: &CompressionChange) -> Self {
        Self {
            base: change.base.clone(),
            candidate: change.candidate.clone(),
            groups: change.groups.iter().map(GroupChangeWire::from).collect(),
            unpaired_cylinders: change.unpaired.clone(),
        }
    }
}

impl From<&CylinderChange> for GroupChangeWire {
    fn from(group: &CylinderChange) -> Self {
        Self {
            cylinders: group.cylinders.clone(),
            base: RatioWire::from(&group.base),
            candidate: RatioWire::from(&group.candidate),
            difference: RatioWire::from(&group.difference),
            shares: group.shares.iter().map(ShareWire::from).collect(),
            effects_on_difference: effects(&group.effects),
        }
    }
}

impl From<&ChangeShare> for ShareWire {
    fn from(share: &ChangeShare) -> Self {
        Self {
            change: share.change.words(),
            before: AmountWire::from(share.before),
            after: AmountWire::from(share.after),
            share: RatioWire::from(&share.share),
        }
    }
}

impl From<Amount> for AmountWire {
    fn from(amount: Amount) -> Self {
        match amount {
            Amount::Length(length) => Self::Mm(mm(length)),
            Amount::Volume(volume) => Self::Cc(cc(volume)),
        }
    }
}

impl From<&Reading<Ratio>> for RatioWire {
    fn from(reading: &Reading<Ratio>) -> Self {
        let (value, tolerance) = (rounded(reading.value.si()), rounded(reading.tolerance.si()));
        Self { value, tolerance, basis: reading.basis.word() }
    }
}

impl From<&Reading<Volume>> for VolumeWire {
    fn from(reading: &Reading<Volume>) -> Self {
        let (value_cc, tolerance_cc) = (cc(reading.value), cc(reading.tolerance));
        Self { value_cc, tolerance_cc, basis: reading.basis.word() }
    }
}

impl From<&Reading<Length>> for LengthWire {
    fn from(reading: &Reading<Length>) -> Self {
        let (value_mm, tolerance_mm) = (mm(reading.value), mm(reading.tolerance));
        Self { value_mm, tolerance_mm, basis: reading.basis.word() }
    }
}

fn effects(all: &[ReadingEffect]) -> Vec<EffectWire> {
    all.iter()
        .map(|effect| EffectWire {
            path: effect.path.clone(),
            value_si: effect.value_si,
            tolerance_si: effect.tolerance_si,
            basis: effect.basis.word(),
            effect: rounded(effect.effect),
            share_of_variance: rounded(share_of_variance(effect, all)),
        })
        .collect()
}

/// Rounded where only the noise of the arithmetic follows.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

fn cc(volume: Volume) -> f64 {
    rounded(volume.get::<cubic_centimeter>())
}

fn mm(length: Length) -> f64 {
    rounded(length.get::<millimeter>())
}
