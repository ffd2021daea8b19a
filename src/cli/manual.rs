//! `manual`: pages for `man`.

use std::process::ExitCode;

use clap::Args;

use super::arguments::Arguments;
use crate::files::{Failure, print};

/// The arguments of `manual`.
#[derive(Debug, Args)]
pub(crate) struct Manual {
    /// A command, for its own page; left out, the page of the whole program
    pub command: Option<String>,

    /// List the commands that have a page
    #[arg(long, conflicts_with = "command")]
    pub list: bool,
}

/// Runs the command.
pub(crate) fn manual(arguments: &Manual) -> Result<ExitCode, Failure> {
    let mut program = Arguments::program().disable_help_subcommand(true);
    program.build();
    let names: Vec<&str> = program.get_subcommands().map(|c| c.get_name()).collect();
    if arguments.list {
        print(&(names.join("\n") + "\n"))?;
        return Ok(ExitCode::SUCCESS);
    }
    let page = match &arguments.command {
        None => &program,
        Some(name) => {
            let mut commands = program.get_subcommands();
            let found = commands.find(|command| command.get_name() == name);
            found.ok_or_else(|| {
                Failure::new(format!(
                    "there is no command \"{name}\": expected one of {}",
                    names.join(", ")
                ))
            })?
        }
    };
    let mut roff = Vec::new();
    clap_mangen::Man::new(page.clone())
        .render(&mut roff)
        .map_err(|error| Failure::new(format!("the page cannot be written: {error}")))?;
    print(&String::from_utf8_lossy(&roff))?;
    Ok(ExitCode::SUCCESS)
}
