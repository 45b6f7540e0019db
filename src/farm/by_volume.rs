//! Contents of a litter analysis that the laboratory gives by volume: with what a gallon
//! weighs they become those of a ton.

use crate::farm::words::Basis;
use crate::findings::{At, Finding, Findings};
use crate::text::Walker;
use crate::units::{self, Density, GALLONS_PER_FT3, LbPerThousandGallons, POUNDS_PER_TON, Quantity, Refusal};

/// The contents of an analysis, by weight or by volume.
pub(super) struct ByVolume<'w, 'n> {
    pub(super) walk: &'w Walker<'n>,
    density: Option<At<Density>>,
    /// Whether a density is written, even where it cannot be read.
    weighed: bool,
    dry: bool,
    /// Whether a content was by volume.
    any: bool,
}

impl<'w, 'n> ByVolume<'w, 'n> {
    pub(super) fn of(walk: &'w Walker<'n>, basis: Option<&At<Basis>>, findings: &mut Findings) -> ByVolume<'w, 'n> {
        let weighed = walk.ask("density").is_some();
        let density = walk.quantity("density", findings);
        ByVolume { walk, density, weighed, dry: basis.is_some_and(|basis| basis.value == Basis::Dry), any: false }
    }

    /// A content that must be there.
    pub(super) fn need<Q: Quantity>(&mut self, key: &'static str, findings: &mut Findings) -> Option<At<Q>> {
        self.walk.need(key, &units::accepted::<Q>(), findings)?;
        self.may(key, findings)
    }

    /// A content that may be left out.
    pub(super) fn may<Q: Quantity>(&mut self, key: &'static str, findings: &mut Findings) -> Option<At<Q>> {
        let node = self.walk.ask(key)?;
        let by_volume = node.scalar().map(units::quantity::<LbPerThousandGallons>);
        match by_volume {
            // Its unit is one of those of a volume.
            Some(Ok(_) | Err(Refusal::OutOfRange { .. })) => {
                self.any = true;
                let content: At<LbPerThousandGallons> = self.walk.quantity(key, findings)?;
                self.in_a_ton(key, &content, findings)
            }
            _ => self.walk.quantity(key, findings),
        }
    }

    fn in_a_ton<Q: Quantity>(
        &self,
        key: &str,
        content: &At<LbPerThousandGallons>,
        findings: &mut Findings,
    ) -> Option<At<Q>> {
        let refused = |found: String, accepts: String, fix: &str| {
            let what = self.walk.what();
            Finding::error("by-volume", &content.place, format!("{what}: `{key}` {found}")).accepts(accepts).fix(fix)
        };
        if self.dry {
            findings.push(refused(
                "is by volume, and `basis` says dry".to_string(),
                "contents by volume with `basis: as received`, or those of dry matter by weight".to_string(),
                "write the contents and the basis as the report has them",
            ));
            return None;
        }
        let Some(density) = &self.density else {
            // A density that cannot be read was told.
            if !self.weighed {
                findings.push(refused(
                    "is by volume, and nothing says what a gallon weighs".to_string(),
                    format!("a content by volume beside `density`; or {}", units::accepted::<Q>()),
                    "add the line `density: ... lb/gal` from the report; or ask the laboratory for lb/ton",
                ));
            }
            return None;
        };
        let gallons = POUNDS_PER_TON as f64 * GALLONS_PER_FT3 / density.value.get();
        let pounds = content.value.get() * gallons / 1_000.0;
        match units::in_unit::<Q>(pounds, "lb/ton") {
            Ok(value) => Some(At { value, place: content.place.clone() }),
            Err(_) => {
                let found = format!("comes to {} lb/ton by its volume and density", units::number_text(pounds, 1));
                findings.push(refused(found, units::accepted::<Q>(), "compare content and density with the report"));
                None
            }
        }
    }

    /// A density that no content asks for is told.
    pub(super) fn finish(self, findings: &mut Findings) {
        let Some(density) = self.density.filter(|_| !self.any) else { return };
        let found = format!("{}: `density` changes nothing, since no content is by volume", self.walk.what());
        findings.push(Finding::warning("no-effect", &density.place, found).fix("take it out"));
    }
}
