//! Lines of text in 80 columns.

/// Longest line.
const WIDTH: usize = 80;
/// Where values begin, and where the notes behind them do.
const VALUE: usize = 22;
const NOTE: usize = 40;

/// A page that is being written.
pub(super) struct Page {
    text: String,
    explain: bool,
}

impl Page {
    pub(super) fn new(explain: bool) -> Page {
        Page {
            text: String::new(),
            explain,
        }
    }

    pub(super) fn into_text(self) -> String {
        self.text
    }

    fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// The page's name.
    pub(super) fn title(&mut self, text: &str) {
        let text = clipped(text, WIDTH);
        let rule = "=".repeat(text.chars().count());
        self.line(&text);
        self.line(&rule);
    }

    /// Starts a section: a name to find it by, and what it is about.
    pub(super) fn section(&mut self, name: &str, about: &str) {
        self.line("");
        let head = format!("{}  {about}", name.to_uppercase());
        self.line(&clipped(&head, WIDTH));
    }

    /// A number by its name, with its unit, and a few words about it.
    pub(super) fn value(&mut self, name: &str, value: &str, note: &str) {
        let name = clipped(name, VALUE - 3);
        let head = format!("  {name:<pad$}{value}", pad = VALUE - 2);
        if note.is_empty() {
            return self.line(&head);
        }
        let head = format!("{head:<NOTE$}");
        let indent = if head.chars().count() > NOTE {
            head.chars().count() + 2
        } else {
            NOTE
        };
        let mut lines = wrapped(note, WIDTH - indent).into_iter();
        let first = lines.next().unwrap_or_default();
        self.line(&format!("{head:<indent$}{first}"));
        for line in lines {
            self.line(&format!("{:indent$}{line}", ""));
        }
    }

    /// Running text.
    pub(super) fn sentence(&mut self, text: &str) {
        for line in wrapped(text, WIDTH - 2) {
            self.line(&format!("  {line}"));
        }
    }

    /// Why a number is what it is; left out unless reasons were asked for.
    pub(super) fn reason(&mut self, of: &str, text: &str) {
        if self.explain {
            let text = if of.is_empty() {
                text.to_owned()
            } else {
                format!("{of}: {text}")
            };
            for (index, line) in wrapped(&text, WIDTH - 6).iter().enumerate() {
                let mark = if index == 0 { "-" } else { " " };
                self.line(&format!("    {mark} {line}"));
            }
        }
    }

    /// Columns of numbers under their names: the first column holds names, the
    /// rest are set to the right.
    pub(super) fn table(&mut self, columns: &[&str], rows: &[Vec<String>]) {
        let longest = |column: usize| {
            let cells = rows.iter().map(|row| row[column].chars().count());
            cells.max().unwrap_or(0)
        };
        let numbers: Vec<usize> = (1..columns.len())
            .map(|i| {
                let words = columns[i].split('\n').map(|word| word.chars().count());
                longest(i).max(words.max().unwrap_or(0)) + 2
            })
            .collect();
        let room = (WIDTH - 2).saturating_sub(numbers.iter().sum());
        let names = longest(0).max(columns[0].chars().count()).min(room);
        let heads = columns.iter().map(|c| c.split('\n').count()).max();
        for head in 0..heads.unwrap_or(0) {
            let mut line = "  ".to_owned();
            for (i, column) in columns.iter().enumerate() {
                let word = column.split('\n').nth(head).unwrap_or("");
                match i.checked_sub(1) {
                    None => line += &format!("{word:<names$}"),
                    Some(i) => line += &format!("{word:>pad$}", pad = numbers[i]),
                }
            }
            self.line(&line);
        }
        for row in rows {
            let mut line = format!("  {:<names$}", clipped(&row[0], names));
            for (cell, pad) in row[1..].iter().zip(&numbers) {
                line += &format!("{cell:>pad$}");
            }
            self.line(&line);
        }
    }
}

/// At most so many characters, the last a dot where something is cut.
fn clipped(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{kept}\u{2026}")
}

/// Lines of at most so many characters; words longer than that are cut.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let word = clipped(word, most);
        let last = lines.last_mut().expect("there is a line");
        let length = last.chars().count();
        if length > 0 && length + 1 + word.chars().count() > most {
            lines.push(word);
        } else {
            if length > 0 {
                last.push(' ');
            }
            last.push_str(&word);
        }
    }
    lines
}
