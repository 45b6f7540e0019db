//! What a question is about: the words that a figure may apply to.

use std::borrow::Cow;

/// A word of a scope, where there is one.
pub trait Word<'a> {
    /// The word.
    fn word(self) -> Option<Cow<'a, str>>;
}

impl<'a> Word<'a> for &'a str {
    fn word(self) -> Option<Cow<'a, str>> {
        Some(Cow::Borrowed(self))
    }
}

impl<'a> Word<'a> for &'a String {
    fn word(self) -> Option<Cow<'a, str>> {
        Some(Cow::Borrowed(self))
    }
}

impl<'a> Word<'a> for String {
    fn word(self) -> Option<Cow<'a, str>> {
        Some(Cow::Owned(self))
    }
}

impl<'a, W: Word<'a>> Word<'a> for Option<W> {
    fn word(self) -> Option<Cow<'a, str>> {
        self.and_then(Word::word)
    }
}

/// The words of a question. What it does not say fits only figures that do not
/// ask for it.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
#[serde(transparent)]
pub struct Scope<'a>(Vec<(&'static str, Cow<'a, str>)>);

macro_rules! words {
    ($($name:ident = $key:literal),+ $(,)?) => {
        /// Every key of a scope.
        pub const KEYS: &[&str] = &[$($key),+];

        impl<'a> Scope<'a> {
            $(#[doc = concat!("With the word under `", $key, "`; see reference/about.md.")]
            #[must_use]
            pub fn $name(self, word: impl Word<'a>) -> Scope<'a> {
                self.with($key, word)
            })+
        }
    };
}

words! {
    forage = "forage", usage = "use", texture = "texture", region = "region", season = "season",
    material = "material", placement = "placement", days = "days", year = "year", nutrient = "nutrient",
    extractant = "extractant", class = "class", rating = "rating", feature = "feature", strip = "strip",
    owner = "owner", consent = "consent", lies = "lies", operation = "operation", month = "month", end = "end",
    item = "item", when = "when", thing = "thing", topic = "topic", unit = "unit",
    animal = "animal",
}

impl<'a> Scope<'a> {
    /// A question that says nothing.
    #[must_use]
    pub fn new() -> Scope<'a> {
        Scope::default()
    }

    /// The question in which a word stands under a key; of two the later counts.
    #[must_use]
    pub fn with(mut self, key: &str, word: impl Word<'a>) -> Scope<'a> {
        if let (Some(key), Some(word)) = (KEYS.iter().find(|known| **known == key), word.word()) {
            self.0.retain(|(other, _)| other != key);
            self.0.push((key, word));
        }
        self
    }

    /// The rule for large operations, or for all others.
    #[must_use]
    pub fn large(self, large: bool) -> Scope<'a> {
        self.operation(if large { "large" } else { "ordinary" })
    }

    /// The word under a key.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&str> {
        self.0.iter().find(|(known, _)| *known == key).map(|(_, word)| word.as_ref())
    }

    /// Every key with its word, in the order they were said.
    pub fn words(&self) -> impl Iterator<Item = (&'static str, &str)> {
        self.0.iter().map(|(key, word)| (*key, word.as_ref()))
    }
}

impl<'a, K: AsRef<str>, W: Word<'a>> FromIterator<(K, W)> for Scope<'a> {
    fn from_iter<I: IntoIterator<Item = (K, W)>>(pairs: I) -> Scope<'a> {
        pairs.into_iter().fold(Scope::new(), |scope, (key, word)| scope.with(key.as_ref(), word))
    }
}
