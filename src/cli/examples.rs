//! What a person types, for the help of each command: `tests/help_examples.rs` runs them.

use clap::Command;

/// Each command's examples: a line to type, and what it gives.
const EXAMPLES: [(&str, &[(&str, &str)]); 13] = [
    (
        "screenshot",
        &[
            (
                "throughline screenshot my-rig.toml --out pattern.png",
                "the pattern, in the exact pixels that the displays would show",
            ),
            (
                "throughline screenshot my-rig.toml --set seam.1.gap_mm=3 --out try.png",
                "the same for another gap than the file's",
            ),
        ],
    ),
    (
        "seat",
        &[
            (
                "throughline seat my-rig.toml --out seat.png",
                "what the eye sees of a rig that stands as its file says",
            ),
            (
                "throughline seat my-rig.toml --set-built seam.1.rise_mm=-5 --out low.png",
                "the same with a panel that stands 5 mm low",
            ),
        ],
    ),
    (
        "compare",
        &[(
            "throughline compare before.png after.png --out both.png",
            "two pictures and their difference, and what changed in the rig",
        )],
    ),
    (
        "sheet",
        &[
            (
                "throughline sheet my-rig.toml",
                "the numbers to type elsewhere, and how good they are",
            ),
            (
                "throughline sheet my-rig.toml --plan desk.svg",
                "the rig to scale, for A4 paper",
            ),
        ],
    ),
    (
        "place",
        &[(
            "throughline place my-rig.toml --out planned.toml",
            "plans for a program with one camera a screen, the first that will do as a rig file",
        )],
    ),
    (
        "displays",
        &[(
            "throughline displays --out my-rig.toml",
            "a first rig file, with comments that tell what to measure",
        )],
    ),
    (
        "show",
        &[
            (
                "throughline show my-rig.toml",
                "the pattern over all displays; H shows the keys, Q quits",
            ),
            (
                "throughline show my-rig.toml --layers scaling --windows per-display",
                "whether one pixel of the picture is one of the glass",
            ),
        ],
    ),
    (
        "solve",
        &[(
            "throughline solve my-rig.toml my-rig.readings.json --out solved.toml",
            "how the rig stands, from what was read in show",
        )],
    ),
    (
        "measure",
        &[(
            "throughline measure my-rig.toml eye.jpg left.jpg right.jpg --out true.toml",
            "how the rig stands, from three photographs of the layer marks",
        )],
    ),
    (
        "frames",
        &[(
            "throughline frames strips.jpg",
            "how many frames one display is behind the other",
        )],
    ),
    (
        "check",
        &[
            (
                "throughline check my-rig.toml",
                "what is wrong with a rig, before any pattern is looked at",
            ),
            (
                "throughline check my-rig.toml --measure 30",
                "the displays' refresh rates, too, counted for 30 seconds",
            ),
        ],
    ),
    (
        "completions",
        &[(
            "throughline completions bash > throughline.bash",
            "to be read by the shell: source ./throughline.bash",
        )],
    ),
    (
        "manual",
        &[(
            "throughline manual show | man -l -",
            "the page of one command",
        )],
    ),
];

/// The commands, each with its examples.
pub(super) fn with_examples(mut program: Command) -> Command {
    for (name, examples) in EXAMPLES {
        // Without windows there are fewer commands.
        if program.find_subcommand(name).is_some() {
            program = program.mut_subcommand(name, |command| command.after_help(text(examples)));
        }
    }
    program
}

fn text(examples: &[(&str, &str)]) -> String {
    let lines = examples
        .iter()
        .map(|(line, gives)| format!("  {line}\n      {gives}"));
    format!("Examples:\n{}", lines.collect::<Vec<_>>().join("\n"))
}
