//! Fields that get no litter for want of a figure, and fields that are planned without one that
//! no limit goes by: told once for all that lack the same, with the lines to fill in.

use crate::balance::FieldBalance;
use crate::balance::desk::advisable;
use crate::check::{Ready, Wants};
use crate::farm::{Use, WrittenField};
use crate::findings::{Finding, Findings, Place, listed};
use crate::tables::{Topic, topic};

/// Fields that lack the same figures.
struct Group<'a> {
    /// Each for a class of the soil test, where it goes by that.
    topics: Vec<(Topic, Option<&'a str>)>,
    /// Whether they get no litter for it.
    barred: bool,
    fields: Vec<&'a FieldBalance>,
}

/// One warning for each set of figures that the tables of the place lack.
pub(super) fn tell(ready: &Ready, place: &str, fields: &[FieldBalance], findings: &mut Findings) {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for field in fields {
        let mut topics: Vec<_> = field.bars.iter().filter_map(|bar| lacks(&bar.wants)).collect();
        let barred = !topics.is_empty();
        topics.extend(field.lacks.iter().map(|lack| (lack.topic, lack.class.as_deref())));
        topics.sort();
        topics.dedup();
        if topics.is_empty() {
            continue;
        }
        match groups.iter_mut().find(|group| (&group.topics, group.barred) == (&topics, barred)) {
            Some(group) => group.fields.push(field),
            None => groups.push(Group { topics, barred, fields: vec![field] }),
        }
    }
    groups.iter().for_each(|group| findings.push(group.finding(ready, place)));
}

fn lacks(wants: &Wants) -> Option<(Topic, Option<&str>)> {
    match wants {
        Wants::Figure(key, class) => Some((Topic::named(key)?, class.as_deref())),
        _ => None,
    }
}

impl<'a> Group<'a> {
    fn written(&self) -> impl Iterator<Item = &'a WrittenField> {
        self.fields.iter().map(|field| &field.field().written)
    }

    fn finding(&self, ready: &Ready, place: &str) -> Finding {
        let at =
            self.written().next().map_or_else(|| Place::file(crate::farm::MAIN), |field| field.forage.place.clone());
        let ids: Vec<&str> = self.written().map(|field| field.id.value.as_str()).collect();
        let keys: Vec<String> = self
            .topics
            .iter()
            .map(|(topic, class)| {
                let class = class.map_or(String::new(), |class| format!(" of class {}", class.replace('_', " ")));
                format!("`{}`{class}", topic.key())
            })
            .collect();
        let crops: Vec<String> = self.crops().into_iter().map(|(forage, usage)| words(forage, usage)).collect();
        let found =
            format!("{}: the tables of {place} have no {} for {}", self.outcome(&ids), listed(&keys), listed(&crops));
        let ask =
            ready.people.iter().find(|p| p.part == "planner").map_or("the planner", |planner| planner.name.as_str());
        let by_report = |(topic, _): &(Topic, Option<&str>)| advisable().iter().any(|(need, _)| need == topic);
        let advised = self.topics.iter().all(by_report);
        let some = self.topics.iter().any(by_report);
        let fix = if advised {
            format!(
                "write what each soil report recommends into the `soil_test:` of its field; or give the figures \
                 yourself, with who said so; or ask {ask}. The lines to fill in:"
            )
        } else if some {
            format!(
                "write what each soil report recommends into the `soil_test:` of its field, and give the other figures \
                 yourself, with who said so; or ask {ask}. The lines to fill in:"
            )
        } else {
            format!("give the figures yourself, with who said so, or ask {ask}. The lines to fill in:")
        };
        let code = if self.barred { "figure-missing" } else { "need-unknown" };
        Finding::warning(code, &at, found).fix(fix).lines(self.lines())
    }

    /// What comes of it that the figures are missing.
    fn outcome(&self, ids: &[&str]) -> String {
        let (fields, get) = if ids.len() == 1 { ("field", "gets") } else { ("fields", "get") };
        let ids = listed(ids);
        if self.barred {
            return format!("{fields} {ids} {get} no litter");
        }
        let asks = |topic: &Topic| *topic == topic::P2O5_NEED || *topic == topic::K2O_NEED;
        let lacks = self.fields.iter().flat_map(|field| &field.lacks);
        let mut names: Vec<&str> = lacks.map(|lack| lack.what.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        let without = match self.topics.iter().any(|(topic, _)| asks(topic)) {
            true => "no fertilizer is bought for a need that is not known, and litter gets no credit for it",
            false => "what comes off is shown as not known",
        };
        let (is, goes) = if names.len() == 1 { ("is", "it") } else { ("are", "them") };
        let names = listed(&names);
        format!(
            "{fields} {ids}: {names} {is} not known, and no limit goes by {goes}, so that this keeps no litter off; {without}"
        )
    }

    /// What grows for what, each once.
    fn crops(&self) -> Vec<(&'a str, Use)> {
        let mut crops: Vec<(&str, Use)> = Vec::new();
        for field in self.written() {
            let crop = (field.forage.value.as_str(), field.usage.value);
            if !crops.contains(&crop) {
                crops.push(crop);
            }
        }
        crops
    }

    /// The recommendation first, then a figure for each topic; both for the first crop.
    fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        let crops = self.crops();
        let Some((forage, usage)) = crops.first().copied() else { return lines };
        let crop = forage.replace('_', " ");
        let advised = advisable().into_iter().filter(|(topic, _)| self.topics.iter().any(|(own, _)| own == topic));
        let advised: Vec<String> = advised.map(|(_, key)| format!("{key}: ... lb/ac")).collect();
        if !advised.is_empty() {
            lines.push("soil_test:".to_string());
            lines.push(format!("  recommended: {{crop: {crop}, yield: ... tons/ac,"));
            lines.push(format!("    {}}}", advised.join(", ")));
        }
        lines.push("figures:".to_string());
        for (topic, class) in &self.topics {
            let unit = topic.units().first().map_or("", |(unit, _)| *unit);
            let keys = [("forage", crop.as_str()), ("use", usage.word())].into_iter();
            let class = class.map(|class| format!("class: {}", class.replace('_', " ")));
            let keys: Vec<String> = keys
                .filter(|(key, _)| topic.scope().contains(key))
                .map(|(key, word)| format!("{key}: {word}"))
                .chain(class)
                .collect();
            lines.push(format!("  - {{topic: {}, value: ... {unit}, by: ..., on: ...,", topic.key()));
            lines.push(format!("     applies: {{{}}}}}", keys.join(", ")));
        }
        if crops.len() > 1 {
            let more: Vec<String> = crops.iter().skip(1).map(|(forage, usage)| words(forage, *usage)).collect();
            lines.push(format!("  # and the same for {}", listed(&more)));
        }
        lines
    }
}

fn words(forage: &str, usage: Use) -> String {
    format!("{} as {}", forage.replace('_', " "), usage.word())
}
