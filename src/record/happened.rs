//! Everything that happened, as the entries that stand say it.

use crate::cores;
use crate::findings::{At, Place, nearest};
use crate::record::columns::LOG;
use crate::record::entry::Entry;
use crate::record::kept::KeptEntry;
use crate::record::kinds::What;
use crate::record::loads::loads_of;
use crate::units::Pounds;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Deref;
use std::sync::Arc;

/// Everything that happened. A copy costs nothing, however long the log is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Happened {
    /// The entries that stand, in the order written.
    pub entries: Arc<Vec<KeptEntry>>,
    /// Entries that a later one corrected or declared void.
    pub struck: Arc<Vec<Struck>>,
    /// Which entries are about a field, and which about a lot: a field among
    /// many is not sought in the whole log.
    by_field: Arc<Positions>,
    by_lot: Arc<Positions>,
    /// Where entries stand that are not in the log yet, where it is asked what they bring:
    /// of the record without them there are none.
    new: Option<Arc<BTreeSet<Place>>>,
}

/// Places in the list of entries, by id.
type Positions = BTreeMap<String, Vec<usize>>;

/// What of the farm an entry is about: its field, or its lot.
type AboutWhat = fn(&Entry) -> Option<&At<String>>;

fn positions(entries: &[KeptEntry], of: impl Fn(&Entry) -> Option<&At<String>>) -> Arc<Positions> {
    let mut list = Positions::new();
    for (i, entry) in entries.iter().enumerate() {
        put_down(&mut list, of(entry), i);
    }
    Arc::new(list)
}

fn put_down(list: &mut Positions, id: Option<&At<String>>, at: usize) {
    let Some(id) = id else { return };
    match list.get_mut(&id.value) {
        Some(mine) => mine.push(at),
        None => drop(list.insert(id.value.clone(), vec![at])),
    }
}

/// An entry that no longer stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Struck {
    /// Its id.
    pub id: String,
    /// Where it stands.
    pub place: Place,
    /// The entry that names it.
    pub by: String,
    /// Whether that one only declares it void.
    pub void: bool,
    /// How many loads it held.
    pub loads: f64,
    /// What it weighed.
    pub amount: Pounds,
    /// What it said; none of a line that cannot be read.
    pub entry: Option<KeptEntry>,
    /// Where the entry stands that names it.
    pub by_place: Place,
    /// Its day, and that of the entry that names it; none of a line that cannot be read.
    pub days: Option<(Date, Date)>,
}

impl Happened {
    /// What happened, by the entries that stand and those that no longer do.
    pub(super) fn of(entries: Vec<KeptEntry>, struck: Arc<Vec<Struck>>) -> Happened {
        let own: [AboutWhat; 2] = [|e| e.field.as_ref(), |e| e.lot.as_ref()];
        let mut both = cores::each(&own, |own| positions(&entries, own)).into_iter();
        let (by_field, by_lot) = (both.next().unwrap_or_default(), both.next().unwrap_or_default());
        Happened { entries: Arc::new(entries), struck, by_field, by_lot, new: None }
    }

    /// The same record with other entries.
    #[must_use]
    pub fn of_entries(&self, entries: Vec<KeptEntry>) -> Happened {
        Happened { new: self.new.clone(), ..Happened::of(entries, Arc::clone(&self.struck)) }
    }

    /// The entries that somebody asks about: where some are not in the log yet, those
    /// alone. What stands there already is told by a check of the whole record.
    pub fn asked(&self) -> impl Iterator<Item = &Entry> {
        self.iter().filter(|entry| self.is_asked(entry))
    }

    /// Whether somebody asks about an entry.
    #[must_use]
    pub fn is_asked(&self, entry: &Entry) -> bool {
        self.new.as_ref().is_none_or(|new| new.contains(&entry.place))
    }

    /// Whether it is only asked what new entries bring.
    #[must_use]
    pub fn asks_of_new(&self) -> bool {
        self.new.is_some()
    }

    /// The entries that stand, in the order written.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &Entry> + ExactSizeIterator + Clone {
        self.entries.iter().map(Deref::deref)
    }

    fn at<'a>(&'a self, positions: &'a Positions, id: &str) -> impl Iterator<Item = &'a Entry> {
        positions.get(id).into_iter().flatten().filter_map(|i| self.entries.get(*i)).map(Deref::deref)
    }

    /// The entry that stands under this id.
    #[must_use]
    pub fn entry(&self, id: &str) -> Option<&Entry> {
        self.iter().find(|e| e.id == id)
    }

    /// Entries up to a day that a later one declared void after it: they never happened, on
    /// whatever day one looks, and what was printed on that day still has them.
    pub fn voided_after(&self, on: Date) -> impl Iterator<Item = &Struck> {
        self.struck
            .iter()
            .filter(move |struck| struck.void && struck.days.is_some_and(|(day, voided)| day <= on && on < voided))
    }

    /// The entry that stands under this id, to be corrected or declared void.
    ///
    /// # Errors
    /// Why none does.
    pub fn standing(&self, id: &str) -> Result<&Entry, String> {
        if let Some(entry) = self.entry(id) {
            return Ok(entry);
        }
        Err(match self.struck.iter().find(|s| s.id == id) {
            Some(s) if s.void => format!("the entry `{id}` was declared void by `{}`", s.by),
            Some(s) => format!("the entry `{id}` was corrected by `{}`: name that one", s.by),
            None => {
                let near = nearest(id, self.iter().map(|e| e.id.as_str()))
                    .map_or("`sward tally` lists the ids".to_string(), |n| format!("did you mean `{n}`?"));
                format!("{LOG} has no entry `{id}` in force; {near}")
            }
        })
    }

    /// The entry that stands for one that was corrected since, whichever of its ids
    /// is named.
    ///
    /// # Errors
    /// Why none does.
    pub fn newest(&self, id: &str) -> Result<&Entry, String> {
        let mut id = id;
        // An id is struck once at most on the way, so the way is no longer than the list.
        for _ in 0..self.struck.len() {
            match self.struck.iter().find(|s| s.id == id && !s.void) {
                Some(struck) => id = &struck.by,
                None => break,
            }
        }
        self.standing(id)
    }

    /// Whether loads were added to an entry since it was first written. Where nobody counts its
    /// loads, more tons may be one.
    #[must_use]
    pub fn gained_loads(&self, entry: &Entry) -> bool {
        let (loads, amount) = (loads_of(entry), entry.amount);
        let gained = |before: &Struck| before.loads < loads || loads == 0.0 && before.amount < amount;
        let mut id = &entry.id;
        // As above: the way back is no longer than the list.
        for _ in 0..self.struck.len() {
            match self.struck.iter().find(|s| s.by == *id) {
                Some(before) if gained(before) => return true,
                Some(before) => id = &before.id,
                None => break,
            }
        }
        false
    }

    /// The same with more entries behind the others, one after the other; what they
    /// correct or declare void no longer stands.
    #[must_use]
    pub fn with(&self, new: &[Entry]) -> Happened {
        let mut all = Happened { new: Some(Arc::new(new.iter().map(|e| e.place.clone()).collect())), ..self.clone() };
        for entry in new {
            let old = entry.word("corrects");
            if !old.is_empty() {
                all = all.of_entries(all.entries.iter().filter(|e| e.id != old).cloned().collect());
            }
            if entry.what != What::Void {
                all.push(entry.clone().into());
            }
        }
        all
    }

    fn push(&mut self, entry: KeptEntry) {
        let at = self.entries.len();
        put_down(Arc::make_mut(&mut self.by_field), entry.field.as_ref(), at);
        put_down(Arc::make_mut(&mut self.by_lot), entry.lot.as_ref(), at);
        Arc::make_mut(&mut self.entries).push(entry);
    }

    /// What happened up to a day, that day included.
    #[must_use]
    pub fn until(&self, last: Date) -> Happened {
        if self.iter().all(|e| e.date <= last) {
            return self.clone();
        }
        let entries = self.entries.iter().filter(|e| e.date <= last).cloned().collect();
        self.of_entries(entries)
    }

    /// Pounds of a lot that were moved in one way, on any day.
    #[must_use]
    pub fn moved(&self, lot: &str, what: What) -> Pounds {
        self.on_lot(lot, what).map(|e| e.amount).sum()
    }

    /// Entries of one kind on a field.
    pub fn on_field<'a>(&'a self, field: &'a str, what: What) -> impl Iterator<Item = &'a Entry> {
        self.at(&self.by_field, field).filter(move |e| e.what == what)
    }

    /// Days on which a field was cut, in the order of the calendar.
    #[must_use]
    pub fn cuttings(&self, field: &str) -> Vec<Date> {
        let mut days: Vec<Date> = self.on_field(field, What::Cut).map(|e| e.date).collect();
        days.sort();
        days
    }

    /// Entries of one kind on a lot.
    pub fn on_lot<'a>(&'a self, lot: &'a str, what: What) -> impl Iterator<Item = &'a Entry> {
        self.at(&self.by_lot, lot).filter(move |e| e.what == what)
    }

    /// Entries that moved litter of a lot, whatever their kind.
    pub fn moves_of<'a>(&'a self, lot: &'a str) -> impl Iterator<Item = &'a Entry> {
        self.at(&self.by_lot, lot).filter(|e| e.what.moves_litter())
    }

    /// First and last days of grazing on a field, by first day; animals that are counted
    /// on it graze it too. Grazing whose last day nobody wrote down ends when the field is
    /// cut, when no head are left on it, or when it is grazed anew; none where nothing of
    /// that was logged.
    #[must_use]
    pub fn grazings(&self, field: &str) -> Vec<(Date, Option<Date>)> {
        let mine: Vec<&Entry> = self.at(&self.by_field, field).collect();
        let none_left = |e: &&Entry| e.head == Some(0.0);
        let ends = |e: &&Entry| matches!(e.what, What::Cut | What::Graze) || none_left(e);
        let ended = |first: Date| {
            let later = mine.iter().copied().filter(ends).map(|e| e.date).filter(|day| *day > first);
            later.min()
        };
        // A last day that was only planned holds unless the log ends it before.
        let open = |e: &Entry| match (ended(e.date), e.planned_end) {
            (Some(ended), Some(planned)) => Some(ended.min(planned)),
            (ended, planned) => ended.or(planned),
        };
        let began = |what: What| mine.iter().filter(move |e| e.what == what && !none_left(e));
        let mut days: Vec<_> = began(What::Graze).map(|e| (e.date, e.until.or_else(|| open(e)))).collect();
        let mut counted: Vec<Date> = began(What::Head).map(|e| e.date).collect();
        counted.sort();
        for day in counted {
            if !days.iter().any(|(first, last)| *first <= day && last.is_none_or(|last| day <= last)) {
                days.push((day, ended(day)));
            }
        }
        days.sort();
        days
    }

    /// Every rain: its day, inches, and days lost.
    pub fn rain(&self) -> impl Iterator<Item = (Date, Option<f64>, Option<f64>)> {
        self.iter().filter(|e| e.what == What::Rain).map(|e| (e.date, e.inches, e.days))
    }
}
