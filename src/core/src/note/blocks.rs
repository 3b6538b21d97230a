//! The blocks of a note's text, from CommonMark, each with the byte ranges of its text.
//!
//! Links give their text and not their target; code and raw HTML give their text. A line of a paragraph is kept as a
//! line, because in a terse note each line is a statement of its own.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use std::ops::Range;

/// How a block stands in the note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Layout {
    /// A paragraph of plain text.
    Paragraph,
    /// A heading of that level, 1 to 6.
    Heading(u8),
    /// An item of a list.
    Item,
    /// An item of a task list, ticked or not.
    Task {
        /// Whether it is ticked.
        ticked: bool,
    },
    /// A row of a table; the cells are the block's lines.
    Row {
        /// The table's header, one text a column.
        header: Vec<String>,
    },
    /// The header row of a table.
    Header,
    /// A quotation: somebody's words.
    Quote,
    /// Code, or text set off by blanks at its start.
    Code,
}

/// A block with its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// How it stands.
    pub layout: Layout,
    /// Bytes of the note.
    pub span: Range<usize>,
    /// Byte ranges of its text, by line; for a table row by cell.
    pub lines: Vec<Vec<Range<usize>>>,
    /// The headings above it, outermost first, as written.
    pub headings: Vec<String>,
}

impl Block {
    /// The text of one line, its ranges joined.
    #[must_use]
    pub fn line_text(&self, note: &str, line: usize) -> String {
        self.lines
            .get(line)
            .into_iter()
            .flatten()
            .filter_map(|r| note.get(r.clone()))
            .collect()
    }

    /// All its text, lines joined by line ends.
    #[must_use]
    pub fn text(&self, note: &str) -> String {
        (0..self.lines.len())
            .map(|i| self.line_text(note, i))
            .collect::<Vec<_>>()
            .join("\n")
    }
}

/// The blocks of `text`, spans counted from its start plus `offset`.
#[must_use]
pub fn blocks(text: &str, offset: usize) -> Vec<Block> {
    let options =
        Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS | Options::ENABLE_STRIKETHROUGH;
    let mut builder = Builder {
        text,
        offset,
        out: Vec::new(),
        open: None,
        headings: Vec::new(),
        quote: 0,
        items: Vec::new(),
        header: Vec::new(),
        in_header: false,
    };
    for (event, range) in Parser::new_ext(text, options).into_offset_iter() {
        builder.event(event, range);
    }
    builder.close();
    builder.out
}

struct Builder<'t> {
    text: &'t str,
    offset: usize,
    out: Vec<Block>,
    open: Option<Block>,
    headings: Vec<(u8, String)>,
    quote: usize,
    items: Vec<Option<bool>>,
    header: Vec<String>,
    in_header: bool,
}

impl Builder<'_> {
    fn shift(&self, range: &Range<usize>) -> Range<usize> {
        range.start + self.offset..range.end + self.offset
    }

    fn start(&mut self, layout: Layout, range: &Range<usize>) {
        self.close();
        let headings = self.headings.iter().map(|(_, t)| t.clone()).collect();
        self.open = Some(Block {
            layout,
            span: self.shift(range),
            lines: vec![Vec::new()],
            headings,
        });
    }

    fn close(&mut self) {
        if let Some(block) = self.open.take()
            && block.lines.iter().any(|l| !l.is_empty())
        {
            self.out.push(block);
        }
    }

    fn current_layout(&self) -> Layout {
        match self.items.last() {
            Some(Some(ticked)) => Layout::Task { ticked: *ticked },
            Some(None) => Layout::Item,
            None if self.quote > 0 => Layout::Quote,
            None => Layout::Paragraph,
        }
    }

    fn push(&mut self, range: &Range<usize>) {
        if self.open.is_none() {
            // Text of a tight list item, or after a nested block, opens a block of its own.
            let layout = self.current_layout();
            self.start(layout, range);
        }
        let range = self.shift(range);
        if let Some(block) = &mut self.open {
            block.span.end = block.span.end.max(range.end);
            if let Some(line) = block.lines.last_mut() {
                line.push(range);
            }
        }
    }

    fn new_line(&mut self) {
        if let Some(block) = &mut self.open {
            block.lines.push(Vec::new());
        }
    }

    /// Text that may hold line ends of its own (code, raw HTML).
    fn push_lines(&mut self, range: Range<usize>) {
        let mut at = range.start;
        for line in self
            .text
            .get(range)
            .unwrap_or_default()
            .split_inclusive('\n')
        {
            let end = at + line.trim_end_matches(['\n', '\r']).len();
            if end > at {
                self.push(&(at..end));
            }
            if line.ends_with('\n') {
                self.new_line();
            }
            at += line.len();
        }
    }

    fn event(&mut self, event: Event<'_>, range: Range<usize>) {
        match event {
            Event::Start(tag) => self.open_tag(&tag, &range),
            Event::End(tag) => self.close_tag(tag),
            Event::TaskListMarker(ticked) => {
                if let Some(item) = self.items.last_mut() {
                    *item = Some(ticked);
                }
                if let Some(block) = &mut self.open {
                    block.layout = Layout::Task { ticked };
                }
            }
            Event::Text(_) | Event::Code(_) | Event::InlineHtml(_)
                if range.end <= self.text.len() =>
            {
                self.push_lines(range)
            }
            Event::Html(_) => {
                if self.open.is_none() {
                    self.start(Layout::Code, &range);
                }
                self.push_lines(range);
            }
            Event::SoftBreak | Event::HardBreak => self.new_line(),
            Event::Rule => self.close(),
            _ => {}
        }
    }

    fn open_tag(&mut self, tag: &Tag<'_>, range: &Range<usize>) {
        match tag {
            Tag::Paragraph => {
                let layout = self.current_layout();
                self.start(layout, range);
            }
            Tag::Heading { level, .. } => {
                let level = *level as u8;
                self.headings.retain(|(l, _)| *l < level);
                self.start(Layout::Heading(level), range);
            }
            Tag::BlockQuote(_) => {
                self.close();
                self.quote += 1;
            }
            Tag::CodeBlock(_) => self.start(Layout::Code, range),
            Tag::Item => {
                self.close();
                self.items.push(None);
            }
            Tag::List(_) => self.close(),
            Tag::Table(_) => {
                self.close();
                self.header.clear();
            }
            Tag::TableHead => {
                self.in_header = true;
                self.start(Layout::Header, range);
                if let Some(block) = &mut self.open {
                    block.lines.clear();
                }
            }
            Tag::TableRow => {
                let header = self.header.clone();
                self.start(Layout::Row { header }, range);
                if let Some(block) = &mut self.open {
                    block.lines.clear();
                }
            }
            Tag::TableCell => self.new_line(),
            _ => {}
        }
    }

    fn close_tag(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(level) => {
                let text = self
                    .open
                    .as_ref()
                    .map(|b| b.text_of(self.text, self.offset))
                    .unwrap_or_default();
                self.close();
                self.headings.push((level as u8, text));
            }
            TagEnd::TableHead => {
                if let Some(block) = &self.open {
                    self.header = (0..block.lines.len())
                        .map(|i| block.line_of(self.text, self.offset, i))
                        .collect();
                }
                self.in_header = false;
                self.close();
            }
            TagEnd::BlockQuote(_) => {
                self.close();
                self.quote = self.quote.saturating_sub(1);
            }
            TagEnd::Item => {
                self.close();
                self.items.pop();
            }
            TagEnd::Paragraph
            | TagEnd::CodeBlock
            | TagEnd::TableRow
            | TagEnd::HtmlBlock
            | TagEnd::Table => self.close(),
            _ => {}
        }
    }
}

impl Block {
    fn line_of(&self, text: &str, offset: usize, line: usize) -> String {
        self.lines
            .get(line)
            .into_iter()
            .flatten()
            .filter_map(|r| text.get(r.start - offset..r.end - offset))
            .collect::<String>()
            .trim()
            .to_owned()
    }

    fn text_of(&self, text: &str, offset: usize) -> String {
        (0..self.lines.len())
            .map(|i| self.line_of(text, offset, i))
            .collect::<Vec<_>>()
            .join(" ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layouts() {
        let text = "# A\n\none\ntwo\n\n- x\n- [ ] y\n\n> q\n\n| a | b |\n|---|---|\n| 1 | 2 |\n\n## B\nlast [link](http://x)\n";
        let shown: Vec<String> = blocks(text, 0)
            .iter()
            .map(|b| {
                format!(
                    "{:?} {:?} {:?}",
                    b.layout,
                    (0..b.lines.len())
                        .map(|i| b.line_text(text, i))
                        .collect::<Vec<_>>(),
                    b.headings
                )
            })
            .collect();
        assert_eq!(
            shown,
            [
                "Heading(1) [\"A\"] []",
                "Paragraph [\"one\", \"two\"] [\"A\"]",
                "Item [\"x\"] [\"A\"]",
                "Task { ticked: false } [\"y\"] [\"A\"]",
                "Quote [\"q\"] [\"A\"]",
                "Header [\"a\", \"b\"] [\"A\"]",
                "Row { header: [\"a\", \"b\"] } [\"1\", \"2\"] [\"A\"]",
                "Heading(2) [\"B\"] [\"A\"]",
                "Paragraph [\"last link\"] [\"A\", \"B\"]",
            ]
        );
    }
}
