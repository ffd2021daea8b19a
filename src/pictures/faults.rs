//! What is wrong with a file, in words for people instead of the decoder's.

use std::io::ErrorKind;

use png::DecodingError;

use super::Unread;

const ANIMATION: &str =
    "what it says about its animation is wrong; save it as PNG anew, without an animation";

const ORDER: &str = "its parts are in a wrong order; save it as PNG anew";
const COLOURS: &str = "it stores colours in a way that PNG doesn't know; save it as PNG anew";
const PACKING: &str = "it is packed in a way that PNG doesn't know; save it as PNG anew";
const DAMAGED: &str = "it is damaged; save it as PNG anew";

/// The decoder's kinds of broken files that a person can be told more about; those
/// that it passes over, as in notes, are not among them. It hides them from programs,
/// but for their names in what it shows to programmers.
const KINDS: [(&str, &str); 21] = [
    (
        "CrcMismatch",
        "some of it has changed since it was saved; copy it once more, or save it as PNG anew",
    ),
    (
        "MissingImageData",
        "it holds no pixels; save it as PNG anew",
    ),
    (
        "NoMoreImageData",
        "it holds fewer pixels than it says; save it as PNG anew",
    ),
    (
        "CorruptFlateStream",
        "its pixels are damaged; save it as PNG anew",
    ),
    (
        "InvalidDimensions",
        "it is 0 pixels wide or high; save it as PNG anew",
    ),
    (
        "PaletteRequired",
        "it lacks the palette that its colours are numbers of; save it as PNG anew",
    ),
    (
        "UnrecognizedCriticalChunk",
        "it needs more than plain PNG; save it as plain PNG",
    ),
    (
        "ChunkLengthWrong",
        "one of its parts has a wrong length; save it as PNG anew",
    ),
    ("InvalidColorBitDepth", COLOURS),
    ("InvalidBitDepth", COLOURS),
    ("InvalidColorType", COLOURS),
    ("UnknownCompressionMethod", PACKING),
    ("UnknownFilterMethod", PACKING),
    ("UnknownInterlaceMethod", PACKING),
    ("ChunkBeforeIhdr", ORDER),
    ("DuplicateChunk", ORDER),
    ("UnexpectedRestartOfDataChunkSequence", ORDER),
    ("ApngOrder", ANIMATION),
    ("InvalidDisposeOp", ANIMATION),
    ("InvalidBlendOp", ANIMATION),
    ("BadSubFrameBounds", ANIMATION),
];

/// What the decoder found, in words for people.
pub(super) fn said(error: DecodingError) -> Unread {
    match error {
        DecodingError::IoError(error) => match error.kind() {
            ErrorKind::UnexpectedEof => Unread::CutShort,
            // The decoder's own, over numbers that no picture has.
            ErrorKind::InvalidData => Unread::Broken(COLOURS),
            _ => Unread::Io(error),
        },
        DecodingError::LimitsExceeded => Unread::Broken(
            "it carries more than 16 MiB beside its pixels; save it as PNG anew, without notes",
        ),
        error => {
            let shown = format!("{error:?}");
            let name = shown.split_once("inner: ").map_or("", |(_, inner)| inner);
            let end = name.find(|c: char| !c.is_ascii_alphanumeric());
            let name = &name[..end.unwrap_or(name.len())];
            let known = KINDS.iter().find(|(kind, _)| *kind == name);
            Unread::Broken(known.map_or(DAMAGED, |(_, how)| how))
        }
    }
}
