//! How it went, and what is to be said about it.

/// What every sentence of the program begins with in a terminal.
const BEFORE: &str = "throughline: ";
/// More than fits on a small display.
const MOST_SENTENCES: usize = 8;

/// How it went.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// The pattern was shown until somebody closed it.
    Closed {
        /// What was said meanwhile, on the glass, too.
        said: String,
    },
    /// It ended with an error.
    Failed {
        /// The exit code, if it came to one.
        code: Option<i32>,
        /// What was said before.
        said: String,
    },
    /// More than one file was dropped.
    Several(usize),
    /// The program with the commands could not be started, and why.
    NotStarted(String),
}

/// What is to be said in a window; nothing where all went well.
pub(crate) fn message(outcome: &Outcome) -> Option<String> {
    match outcome {
        Outcome::Closed { .. } => None,
        Outcome::Failed { code, said } => Some(failure(*code, said)),
        Outcome::Several(count) => Some(format!(
            "{count} files were dropped at once: drop one rig file"
        )),
        Outcome::NotStarted(error) => Some(format!(
            "throughline.exe can't be started ({error}). It belongs into the same folder as this \
             program: unzip the whole folder, and start it there."
        )),
    }
}

fn failure(code: Option<i32>, said: &str) -> String {
    let lines = said.lines().map(str::trim_end);
    let lines: Vec<&str> = lines.filter(|line| !line.is_empty()).collect();
    let last = &lines[lines.len().saturating_sub(MOST_SENTENCES)..];
    let sentences: Vec<String> = last
        .iter()
        .map(|line| as_sentence(line.strip_prefix(BEFORE).unwrap_or(line)))
        .collect();
    let mut text = sentences.join("\n\n");
    // What it says itself ends with this code; anything else is a fault.
    if code != Some(2) || text.is_empty() {
        let how = match code {
            Some(code) => format!("with code {code}"),
            None => "without a code".to_owned(),
        };
        if !text.is_empty() {
            text += "\n\n";
        }
        text += &format!(
            "Throughline ended {how}, which it never should. What you nudged is kept, and offered \
             when you open the same rig again."
        );
    }
    text
}

/// With a capital letter, unless it begins with a file's name.
fn as_sentence(line: &str) -> String {
    let first_word = line.split_whitespace().next().unwrap_or_default();
    let is_word = first_word.chars().all(|c| c.is_alphabetic() || c == '\'');
    match line.chars().next() {
        Some(first) if is_word => {
            let rest = &line[first.len_utf8()..];
            first.to_uppercase().collect::<String>() + rest
        }
        _ => line.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn failed(code: i32, said: &str) -> String {
        let said = said.to_owned();
        let code = Some(code);
        message(&Outcome::Failed { code, said }).expect("said")
    }

    #[test]
    fn what_went_well_needs_no_words() {
        let said = "throughline: panel \"left\" is shown nowhere\n".to_owned();
        assert_eq!(message(&Outcome::Closed { said }), None);
    }

    #[test]
    fn a_mistake_is_told_in_its_own_words() {
        assert_eq!(
            failed(2, "throughline: no graphics adapter can draw\r\n"),
            "No graphics adapter can draw"
        );
        assert_eq!(
            failed(2, "throughline: D:\\rig.toml:3:9: expected a number\n"),
            "D:\\rig.toml:3:9: expected a number"
        );
    }

    #[test]
    fn of_many_sentences_the_last_ones_are_told() {
        let said: String = (0..20)
            .map(|n| format!("throughline: {n} is so\n"))
            .collect();
        let told = failed(2, &said);
        assert!(
            told.starts_with("12 is so") && told.ends_with("19 is so"),
            "{told}"
        );
    }

    #[test]
    fn a_crash_is_called_one() {
        let told = failed(101, "thread 'main' panicked\nat nowhere\n");
        assert!(told.starts_with("Thread 'main' panicked"), "{told}");
        assert!(
            told.contains("with code 101, which it never should"),
            "{told}"
        );
        assert!(
            failed(2, "").contains("with code 2"),
            "silence is a fault, too"
        );
        let said = String::new();
        let gone = message(&Outcome::Failed { code: None, said }).expect("said");
        assert!(gone.contains("without a code"), "{gone}");
    }

    #[test]
    fn what_nobody_could_open_is_told() {
        let several = message(&Outcome::Several(3)).expect("said");
        assert!(several.starts_with("3 files were dropped"), "{several}");
        let missing = message(&Outcome::NotStarted("os error 2".to_owned())).expect("said");
        assert!(
            missing.contains("(os error 2)") && missing.contains("unzip"),
            "{missing}"
        );
    }
}
