//! What a command that solves answers: a page for people or JSON, and a file beside it.

use std::process::ExitCode;

use crate::files::{Aside, Failure, Output, print, print_words};

/// Titles with the lines under them, for people.
#[derive(Debug, Default)]
pub(super) struct Page(Vec<String>);

impl Page {
    /// Adds a section, where it has any line.
    pub(super) fn section(&mut self, title: &str, rows: Vec<String>) {
        if !rows.is_empty() {
            self.0.push(title.to_owned());
            self.0
                .extend(rows.into_iter().map(|row| format!("  {row}")));
            self.0.push(String::new());
        }
    }

    /// Adds what to do, step by step.
    pub(super) fn steps(&mut self, steps: &[String]) {
        let numbered = steps.iter().enumerate();
        let numbered = numbered.map(|(index, step)| format!("{}. {step}", index + 1));
        self.section("What to do", numbered.collect());
    }

    /// The page as text.
    pub(super) fn text(mut self) -> String {
        self.0.pop();
        self.0.join("\n") + "\n"
    }
}

/// Prints the answer; the file is there once that went well, and not before.
pub(super) fn answer(file: Option<(&Output, String)>, text: &Answer) -> Result<ExitCode, Failure> {
    let written = match file {
        Some((output, text)) => Some(Aside::write(output, |out| out.write_all(text.as_bytes()))?),
        None => None,
    };
    match text {
        Answer::Json(text) => print(text)?,
        Answer::Words(text) => print_words(text)?,
    }
    if let Some(written) = written {
        written.put_in_place()?;
    }
    Ok(ExitCode::SUCCESS)
}

/// For scripts or for people.
#[derive(Debug)]
pub(super) enum Answer {
    /// One document.
    Json(String),
    /// A page.
    Words(String),
}
