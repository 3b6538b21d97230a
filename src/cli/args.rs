//! The arguments as typed.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::{ffi::OsString, path::PathBuf};

/// The arguments with a word behind a single hyphen ("find gasket -multiport") kept as a word: its hyphen becomes a minus
/// sign, which finding reads the same, so that it is not taken for an option.
pub fn with_minus_words(arguments: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let minus = |argument: OsString| match argument.to_str().and_then(|a| a.strip_prefix('-')) {
        Some(word) if word.len() > 1 && word.starts_with(char::is_alphabetic) => {
            OsString::from(format!("\u{2212}{word}"))
        }
        _ => argument,
    };
    arguments.into_iter().map(minus).collect()
}

/// Reads visit notes on pool and spa equipment, finds past jobs, and says the likely faults and the next check.
#[derive(Debug, Parser)]
#[command(name = "padlore", version, about, arg_required_else_help = true)]
pub struct Arguments {
    /// Options of every command.
    #[command(flatten)]
    pub common: Common,
    /// The command.
    #[command(subcommand)]
    pub command: Command,
}

/// Options of every command.
#[derive(Clone, Debug, Args)]
pub struct Common {
    /// The folder of notes [default: PADLORE_NOTES, else the nearest folder upwards that holds padlore.toml]
    #[arg(long, global = true, value_name = "DIR")]
    pub notes: Option<PathBuf>,
    /// Where the index lives [default: your cache folder, one a notes folder]
    #[arg(long, global = true, value_name = "DIR")]
    pub store: Option<PathBuf>,
    /// The shop's own table entries, laid over the built-in ones
    #[arg(long, global = true, value_name = "DIR")]
    pub kb: Option<PathBuf>,
    /// What counts as today, as YYYY-MM-DD [default: the clock]
    #[arg(long, global = true, value_name = "DATE")]
    pub today: Option<jiff::civil::Date>,
    /// Print one JSON object
    #[arg(long, global = true)]
    pub json: bool,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Bring the index up to date with the notes
    Ingest(Ingest),
    /// Past visits that match, best first
    Find(Find),
    /// Show what is understood from notes
    Read(Read),
    /// Say what a line of a note really means; it wins over what is read
    Correct(Correct),
    /// Likely causes and the next check for what you see
    Suspect(Suspect),
    /// Print shell completions
    #[command(hide = true)]
    Completions(Completions),
    /// Print the manual page
    #[command(hide = true)]
    Man(Man),
    /// Fit the learned part of the reader to labelled notes
    #[command(hide = true)]
    Learn(Learn),
    /// Check the knowledge tables
    Vet(Vet),
}

/// Arguments of `ingest`.
#[derive(Debug, Args)]
pub struct Ingest {
    /// Throw the store away first and read everything again
    #[arg(long)]
    pub afresh: bool,
}

/// Arguments of `find`.
#[derive(Debug, Args)]
pub struct Find {
    /// What to look for, in your own words; "in quotes" together, -word without
    #[arg(required = true, value_name = "WORDS")]
    pub words: Vec<String>,
    /// Only this site
    #[arg(long, value_name = "SITE")]
    pub site: Option<String>,
    /// Only visits on this kind of equipment
    #[arg(long, value_name = "KIND")]
    pub equipment: Option<String>,
    /// Only visits with this symptom
    #[arg(long, value_name = "ID")]
    pub symptom: Option<String>,
    /// Only visits with this cause
    #[arg(long, value_name = "ID")]
    pub cause: Option<String>,
    /// Only visits on which this was done
    #[arg(long, value_name = "ACTION")]
    pub fix: Option<String>,
    /// Only this technician's visits
    #[arg(long, value_name = "TECH")]
    pub tech: Option<String>,
    /// From this date on
    #[arg(long, value_name = "DATE")]
    pub since: Option<jiff::civil::Date>,
    /// Up to this date
    #[arg(long, value_name = "DATE")]
    pub until: Option<jiff::civil::Date>,
    /// How many to show
    #[arg(long, value_name = "N", default_value_t = 10)]
    pub top: usize,
}

/// Arguments of `read`.
#[derive(Debug, Args)]
pub struct Read {
    /// Notes
    #[arg(required = true, value_name = "NOTE")]
    pub files: Vec<PathBuf>,
}

/// Arguments of `correct`.
#[derive(Debug, Args)]
pub struct Correct {
    /// The note and its line
    #[arg(value_name = "NOTE:LINE")]
    pub place: String,
    /// Whether the note says it (add) or does not (drop)
    #[arg(value_enum, value_name = "drop|add", hide_possible_values = true)]
    pub act: ActName,
    /// What is said: symptom, cause, fix, setting, reading, equipment or outcome
    #[arg(value_enum, value_name = "KIND", hide_possible_values = true)]
    pub kind: KindName,
    /// Its id; of a fix ACTION PART, of a setting or reading ID VALUE [UNIT]
    #[arg(required = true, value_name = "ID", allow_negative_numbers = true)]
    pub fact: Vec<String>,
    /// The words of that line that it rests on [default: what was read there, else the line]
    #[arg(long, value_name = "WORDS")]
    pub words: Option<String>,
    /// Of a symptom present, absent or past; of a cause confirmed, suspected or ruled-out; of a fix done, planned, declined or
    /// earlier
    #[arg(long, value_name = "STATUS")]
    pub status: Option<String>,
    /// When a symptom happens; once for each
    #[arg(long, value_name = "ID")]
    pub condition: Vec<String>,
    /// When a setting had its value: found, left or advised
    #[arg(long, value_name = "WHEN")]
    pub when: Option<String>,
    /// On which piece of equipment
    #[arg(long, value_name = "EQUIPMENT")]
    pub on: Option<String>,
    /// A reading's state, such as running or standing
    #[arg(long, value_name = "STATE")]
    pub state: Option<String>,
    /// What a piece of equipment is called there
    #[arg(long, value_name = "LABEL")]
    pub label: Option<String>,
    /// Its maker
    #[arg(long, value_name = "MAKER")]
    pub maker: Option<String>,
    /// Its model
    #[arg(long, value_name = "MODEL")]
    pub model: Option<String>,
}

/// What a correction does, as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum ActName {
    /// The note does not say that.
    Drop,
    /// The note says that.
    Add,
}

/// What sort of fact, as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum KindName {
    /// A symptom.
    Symptom,
    /// A cause.
    Cause,
    /// A fix.
    Fix,
    /// A setting.
    Setting,
    /// A reading.
    Reading,
    /// A kind of equipment.
    Equipment,
    /// How the visit ended.
    Outcome,
}

/// Arguments of `vet`.
#[derive(Debug, Args)]
pub struct Vet {
    /// How many words, pairs and sentences of the notes to show that no table reads
    #[arg(long, value_name = "N", default_value_t = 25)]
    pub top: usize,
    /// A folder of labelled notes or snippets, to show the wordings that mislead in them
    #[arg(long, value_name = "DIR")]
    pub labelled: Vec<PathBuf>,
}

/// Arguments of `suspect`.
#[derive(Debug, Args)]
pub struct Suspect {
    /// What is seen, heard or read, in your own words
    #[arg(required = true, value_name = "WORDS")]
    pub words: Vec<String>,
    /// The site, whose equipment and history count as evidence
    #[arg(long, value_name = "SITE")]
    pub site: Option<String>,
    /// What a check showed
    #[arg(long, value_name = "CHECK=OUTCOME")]
    pub found: Vec<String>,
    /// What was measured, in the vocabulary's unit
    #[arg(long, value_name = "ID=VALUE")]
    pub reading: Vec<String>,
}

/// Arguments of `learn`.
#[derive(Debug, Args)]
pub struct Learn {
    /// Folders of NAME.md with NAME.facts.json
    #[arg(required = true, value_name = "DIR")]
    pub folders: Vec<PathBuf>,
    /// The folder for the weights
    #[arg(long, value_name = "DIR", default_value = "kb/learned")]
    pub to: PathBuf,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell
    pub shell: clap_complete::Shell,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
pub struct Man {}
