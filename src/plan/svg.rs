//! A drawing as SVG text in real millimetres.

use std::fmt::Write;

use super::drawing::{Drawing, HALO_MM, Label, Path};
use super::look::Look;
use super::paper::PAPER_MM;
use crate::light::Colour;
use crate::typeset::{Cut, FAMILY, TypeSize, Typesetter};

/// The drawing as an SVG document, dark on white. Text keeps its width in
/// programs without the face, so that labels stay in their boxes.
pub fn svg(drawing: &Drawing, title: &str) -> String {
    let [width, height] = PAPER_MM;
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\">\n<title>{}</title>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>\n",
        escaped(title)
    );
    for path in &drawing.paths {
        text.push_str(&path_element(path));
    }
    let typesetter = Typesetter::new();
    for label in &drawing.labels {
        label_elements(label, &typesetter, &mut text);
    }
    text.push_str("</svg>\n");
    text
}

fn path_element(path: &Path) -> String {
    let mut line = String::new();
    for (index, point) in path.points.iter().enumerate() {
        let command = if index == 0 { 'M' } else { 'L' };
        line += &format!("{command}{:.3} {:.3}", point.x, point.y);
    }
    let Look { fill, line: pen } = path.stroke.look();
    let fill = fill.map_or("none".to_owned(), Colour::hex);
    let pen = pen.map_or("stroke=\"none\"".to_owned(), |pen| {
        let mut look = format!(
            "stroke=\"{}\" stroke-width=\"{}\"",
            pen.colour.hex(),
            pen.width_mm
        );
        if pen.is_round {
            look += " stroke-linecap=\"round\"";
        }
        if let Some([on, off]) = pen.dashes_mm {
            look += &format!(" stroke-dasharray=\"{on} {off}\"");
        }
        look
    });
    format!("<path d=\"{line}\" fill=\"{fill}\" {pen}/>\n")
}

fn label_elements(label: &Label, typesetter: &Typesetter, text: &mut String) {
    let size = TypeSize {
        cap_px: label.cap_mm as f32,
        widening: 1.0,
    };
    let em_mm = typesetter.em_px(label.cut, size);
    let weight = match label.cut {
        Cut::Regular => "",
        Cut::Bold => " font-weight=\"bold\"",
    };
    for (index, line) in label.lines.iter().enumerate() {
        let at = label.baseline(index);
        // Writing to a string can't fail.
        // Twice, its halo first: not every program knows an order of painting.
        let halo =
            format!(" stroke=\"#ffffff\" stroke-width=\"{HALO_MM}\" stroke-linejoin=\"round\"");
        for stroke in [halo.as_str(), ""] {
            let _ = writeln!(
                text,
                "<text x=\"{:.3}\" y=\"{:.3}\" font-family=\"{FAMILY}, sans-serif\" \
                 font-size=\"{em_mm:.3}\"{weight} textLength=\"{:.3}\" \
                 lengthAdjust=\"spacingAndGlyphs\"{stroke} xml:space=\"preserve\">{}</text>",
                at.x,
                at.y,
                label.widths_mm[index],
                escaped(line),
            );
        }
    }
}

/// Text that XML takes as it is.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Neither is allowed in XML.
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}
