//! Where a command writes: its width and colours are those of a terminal, and plain elsewhere.

use anstyle::{AnsiColor, Style};
use std::io::{self, Write};

/// Width of text that goes to no terminal.
const PLAIN_WIDTH: usize = 80;
/// Nothing is laid out narrower than this.
const LEAST_WIDTH: usize = 30;

/// The output of a command.
pub struct Screen {
    out: Box<dyn Write>,
    /// Columns.
    pub width: usize,
}

/// What a piece of text is, for its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// A heading.
    Heading,
    /// Something that matters first.
    Strong,
    /// A place, a number of lesser weight.
    Faint,
    /// Danger.
    Danger,
    /// A caution.
    Caution,
    /// Matching words, what was understood.
    Mark,
}

impl Screen {
    /// Standard output; `COLUMNS` in the environment goes before the terminal's own width.
    #[must_use]
    pub fn standard() -> Self {
        let named = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok());
        let width = named
            .filter(|columns| *columns > 0)
            .or_else(|| terminal_size::terminal_size().map(|(w, _)| usize::from(w.0)))
            .unwrap_or(PLAIN_WIDTH);
        let out = io::BufWriter::new(anstream::AutoStream::auto(io::stdout()));
        Self {
            out: Box::new(out),
            width: width.max(LEAST_WIDTH),
        }
    }

    /// A screen of that width that writes to `out`.
    #[must_use]
    pub fn new(out: Box<dyn Write>, width: usize) -> Self {
        Self { out, width }
    }

    /// Writes a line.
    ///
    /// # Errors
    /// Where the output takes no more.
    pub fn line(&mut self, text: &str) -> io::Result<()> {
        writeln!(self.out, "{text}")
    }

    /// Writes bytes as they are.
    ///
    /// # Errors
    /// Where the output takes no more.
    pub fn bytes(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.out.write_all(bytes)
    }

    /// Writes text filled to the width, later lines indented by `indent` columns.
    ///
    /// # Errors
    /// Where the output takes no more.
    pub fn filled(&mut self, first: &str, text: &str, indent: usize) -> io::Result<()> {
        let rest = " ".repeat(indent);
        let options = textwrap::Options::new(self.width)
            .initial_indent(first)
            .subsequent_indent(&rest);
        for line in textwrap::wrap(text, options) {
            self.line(&line)?;
        }
        Ok(())
    }

    /// Writes a value as one line of JSON.
    ///
    /// # Errors
    /// Where the output takes no more.
    pub fn json(&mut self, value: &impl serde::Serialize) -> Result<(), super::Failure> {
        serde_json::to_writer(&mut self.out, value)?;
        Ok(self.line("")?)
    }

    /// Passes on what is still held back.
    ///
    /// # Errors
    /// Where the output takes no more.
    pub fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// Text in a tone; the screen drops the colours where there is no terminal.
#[must_use]
pub fn toned(tone: Tone, text: &str) -> String {
    let style = match tone {
        Tone::Heading => Style::new().bold().underline(),
        Tone::Strong => Style::new().bold(),
        Tone::Faint => Style::new().dimmed(),
        Tone::Danger => Style::new().bold().fg_color(Some(AnsiColor::Red.into())),
        Tone::Caution => Style::new().fg_color(Some(AnsiColor::Yellow.into())),
        Tone::Mark => Style::new().bold().fg_color(Some(AnsiColor::Cyan.into())),
    };
    format!("{style}{text}{style:#}")
}
