//! What was done at an anchor beside installing it as specified, in the words of a logbook.

use super::mapping::{Field, Mapping};
use super::mistake::{Mistake, quote};
use crate::diagnostic::Code;

/// How an anchor differs from what was specified.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Deviation {
    /// Something at it was mended.
    Repaired,
    /// It stands in another place.
    Moved,
    /// Another fastener is in its place.
    Substituted,
}

impl Deviation {
    /// Every deviation, in the order in which they are told.
    pub const ALL: [Deviation; 3] = [Deviation::Repaired, Deviation::Moved, Deviation::Substituted];

    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Deviation::Repaired => "repaired",
            Deviation::Moved => "moved",
            Deviation::Substituted => "substituted",
        }
    }
}

/// What a record says was done: nothing recorded, *as specified*, or deviations.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq)]
pub struct Done(u8);

impl Done {
    const AS_SPECIFIED: Done = Done(1 << 7);

    /// Whether anything is recorded, as specified among it.
    pub fn is_recorded(self) -> bool {
        self.0 != 0
    }

    /// Whether a deviation is among it.
    pub fn has(self, deviation: Deviation) -> bool {
        self.0 & (1 << deviation as u8) != 0
    }

    /// Whether there is any deviation.
    pub fn deviates(self) -> bool {
        self.deviations().next().is_some()
    }

    /// Its deviations, in the order of [`Deviation::ALL`].
    pub fn deviations(self) -> impl Iterator<Item = Deviation> {
        Deviation::ALL.into_iter().filter(move |deviation| self.has(*deviation))
    }

    /// What two records of one anchor say together: what was done stays done, whatever is recorded later.
    #[must_use]
    pub(super) fn and(self, other: Done) -> Self {
        Done(self.0 | other.0)
    }

    /// Whether it is said to be as specified and not so.
    pub(super) fn contradicts(self) -> bool {
        self.deviates() && self.and(Done::AS_SPECIFIED) == self
    }

    fn of(meaning: Option<Deviation>) -> Self {
        meaning.map_or(Self::AS_SPECIFIED, |deviation| Done(1 << deviation as u8))
    }
}

impl Mapping {
    /// What a cell says was done, and whether that is all that it says: one word whatever its case, which may stand for
    /// several things, or several with a comma, semicolon, slash, plus or ampersand between them.
    pub(super) fn done(&self, cell: &str) -> (Done, bool) {
        if let Some(done) = self.meaning(cell) {
            return (done, true);
        }
        let parts = cell.split([',', ';', '/', '+', '&']);
        let (done, is_known) =
            parts.map(|part| self.meaning(part)).fold((Done::default(), true), |(all, known), part| {
                (all.and(part.unwrap_or_default()), known && part.is_some())
            });
        // As specified and yet not so: nobody knows which.
        (done, is_known && !done.contradicts())
    }

    /// What a single word stands for.
    fn meaning(&self, word: &str) -> Option<Done> {
        let wanted = word.trim().to_lowercase();
        let meanings = self.words.iter().filter(|(_, word)| word.trim().to_lowercase() == wanted);
        meanings.map(|(meaning, _)| Done::of(*meaning)).reduce(Done::and)
    }

    /// The words that are known, in a sentence.
    pub(super) fn known_words(&self) -> String {
        let mut words: Vec<String> = Vec::with_capacity(self.words.len());
        for word in self.words.iter().map(|(_, word)| quote(word.trim())) {
            if !words.contains(&word) {
                words.push(word);
            }
        }
        words.join(", ")
    }

    /// Where the words for what was done contradict the columns or one another.
    pub(super) fn mistaken_words(&self) -> Vec<Mistake> {
        let mut mistakes = Vec::new();
        let field = Field::Done;
        if self.has(field) && self.words.is_empty() {
            let found = format!("a column for {field} and none of its words");
            let mistake = Mistake::new(Code::MissingValue, found, "the words that the logbook has for it");
            mistakes.push(mistake.help("write them behind the columns, such as `words repaired = \"repaired\"`"));
        }
        if !self.has(field) && !self.words.is_empty() {
            let found = format!("words for {field} and no column for it");
            mistakes.push(Mistake::new(Code::MissingValue, found, "the header of that column"));
        }
        for (_, word) in &self.words {
            let both = self.meaning(word).is_some_and(Done::contradicts);
            let found = match word.trim() {
                "" => format!("an empty word for {field}"),
                word if both => format!("the word {} both for as specified and for a deviation", quote(word)),
                _ => continue,
            };
            let mistake =
                Mistake::new(Code::MistakenValue, found, "a word for one or the other; an empty cell says nothing");
            if !mistakes.contains(&mistake) {
                mistakes.push(mistake);
            }
        }
        mistakes
    }
}

/// Words for deviations as they are looked for in remarks: those of the sheet, and our own.
#[derive(Clone, Debug, Default)]
pub(super) struct FreeWords(Vec<(Done, Vec<String>)>);

impl FreeWords {
    /// Those of a mapping; none where it has no words, since nothing then is asked about what was done.
    pub(super) fn new(mapping: &Mapping) -> Self {
        if mapping.words.is_empty() {
            return Self::default();
        }
        let of_sheet = mapping.words.iter().filter_map(|(meaning, word)| Some(((*meaning)?, word.as_str())));
        let ours = Deviation::ALL.map(|deviation| (deviation, deviation.word()));
        let all = of_sheet.chain(ours).map(|(deviation, word)| (Done::of(Some(deviation)), words_of(word)));
        // A letter or two is in many a name.
        Self(all.filter(|(_, words)| words.iter().map(String::len).sum::<usize>() >= SHORTEST).collect())
    }

    /// The deviations that free words tell of: whoever writes such a word beside the column for it has written it all the
    /// same. It counts where it stands by itself, whatever its case and what parts its words: `other type` in
    /// `Other-type, from the other store`, `shifted` not in `unshifted`.
    pub(super) fn done(&self, text: &str) -> Done {
        if self.0.is_empty() || text.is_empty() {
            return Done::default();
        }
        let text = words_of(text);
        let stands = |words: &[String]| {
            text.windows(words.len()).any(|stretch| stretch == words) || text.contains(&words.concat())
        };
        self.0.iter().filter(|(_, words)| stands(words)).fold(Done::default(), |all, (done, _)| all.and(*done))
    }
}

/// Letters that a word in a remark has at least.
const SHORTEST: usize = 3;

/// The words of a text in small letters; marks that are not seen, which a word processor puts into words, part none.
fn words_of(text: &str) -> Vec<String> {
    let is_unseen = |character: char| matches!(character, '\u{ad}' | '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}');
    let text = text.to_lowercase().replace('ß', "ss");
    let text: String = text.chars().filter(|character| !is_unseen(*character)).collect();
    let words = text.split(|character: char| !character.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_owned).collect()
}
