//! What an entry says beside its day, lot and field, in a few words.

use crate::record::entry::Entry;
use crate::record::kinds::What;
use crate::units::{POUNDS_PER_TON, number_text, trimmed};

impl Entry {
    /// What it says in a few words; empty where day, lot, field and tons say it all.
    #[must_use]
    pub fn said(&self) -> String {
        let parts = match self.what {
            What::Fertilizer | What::Lime => vec![self.rate_in_words(), self.on_acres(), self.by()],
            What::SoilSample | What::LotSample => vec![labeled("laboratory: ", self.word("lab"))],
            What::Count => vec![format!("counted {} the day's other entries", self.word("order"))],
            What::Clean => {
                let from = labeled("after ", self.word("from"));
                vec![self.word("how").to_string(), labeled("at ", self.word("where")), from, self.before(), self.by()]
            }
            What::PutOff => vec![format!("from {} to {}", self.word("planned"), self.word("new_day"))],
            What::Head | What::Graze => vec![self.animals(), labeled("planned to ", self.planned_to())],
            _ => Vec::new(),
        };
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// The last day of grazing that was planned, where no other was logged.
    fn planned_to(&self) -> &str {
        if self.planned_end.is_some() && self.until.is_none() { self.word("planned") } else { "" }
    }

    /// What an entry is about: its field, lot, house or truck.
    #[must_use]
    pub fn about(&self) -> &str {
        ["field", "lot", "house", "truck"]
            .map(|column| self.word(column))
            .into_iter()
            .find(|w| !w.is_empty())
            .unwrap_or("")
    }

    fn rate_in_words(&self) -> String {
        let rate = self.rate.unwrap_or_default();
        let rate = match self.what {
            What::Lime => format!("{} tons/ac", trimmed(rate / POUNDS_PER_TON as f64)),
            _ => format!("{} lb/ac", trimmed(rate)),
        };
        let of = [self.word("product"), self.word("grade").trim_end_matches([' ', '%'])];
        let of: Vec<&str> = of.into_iter().filter(|w| !w.is_empty()).collect();
        if of.is_empty() { rate } else { format!("{rate} of {}", of.join(" ")) }
    }

    fn on_acres(&self) -> String {
        self.acres.map_or(String::new(), |acres| format!("on {} ac", number_text(acres, 2)))
    }

    fn by(&self) -> String {
        labeled("by ", self.word("operator"))
    }

    fn before(&self) -> String {
        labeled("before ", self.word("to"))
    }

    fn animals(&self) -> String {
        match (self.head, self.word("animal")) {
            (None, animal) => animal.to_string(),
            (Some(0.0), "") => "no animals are left".to_string(),
            (Some(0.0), animal) => format!("no {animal} are left"),
            (Some(head), "") => format!("{} head", number_text(head, 0)),
            (Some(head), animal) => format!("{} {animal}", number_text(head, 0)),
        }
    }
}

fn labeled(label: &str, words: &str) -> String {
    if words.is_empty() { String::new() } else { format!("{label}{words}") }
}
