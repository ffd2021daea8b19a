//! `seat`: what the eye sees, as a picture and in figures.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use glam::DVec3;
use throughline::fit::DrawnAs;
use throughline::pattern::{Choices, Guides, Layers, Pattern};
use throughline::raster::{Picture, draw};
use throughline::rig::{self, PxRect, Rig};
use throughline::seat::{self, Camera, CameraError, Framing, Projection, Scene};
use throughline::typeset::Typesetter;

use super::program;
use super::rig_source::{self, RigArguments, setting};
use super::rungs::LadderArguments;
use super::seat_report::Report;
use super::view_note::ViewNote;
use crate::files::{Aside, Failure, Files, Output, png_file, png_source, print, print_words, tell};

/// The arguments of `seat`.
#[derive(Debug, Args)]
pub(crate) struct Seat {
    #[command(flatten)]
    rig: RigArguments,

    /// Where to write the picture; may be left out with --json or --max-break
    #[arg(long, value_name = "PNG", required_unless_present_any = ["json", "max_break"])]
    out: Option<PathBuf>,

    /// The rig as the panels really stand, with the same panels' pixels
    #[arg(long, value_name = "RIG2")]
    built: Option<PathBuf>,

    /// Override a value of the rig as it stands, such as seam.1.fold_deg=33: of
    /// RIG2, or else of RIG; can be repeated
    #[arg(long = "set-built", value_name = "PATH=VALUE", value_parser = setting)]
    set_built: Vec<(String, String)>,

    /// Where the eye really is, in mm from where the pattern expects it: to the
    /// right, up, and towards the back
    #[arg(long, value_name = "X,Y,Z", value_parser = three, allow_hyphen_values = true)]
    eye: Option<DVec3>,

    /// Show this picture of the canvas's size instead of the pattern; its lines
    /// aren't read, so the breaks given stay the pattern's
    #[arg(long, value_name = "PNG", conflicts_with = "layers")]
    picture: Option<PathBuf>,

    /// Draw the lines as a program with one camera a screen would: flat-views
    /// with the best numbers, or flat-views:angle=47.3,distance=620,width=…,bezel=…
    #[arg(long, value_name = "MODEL", conflicts_with = "picture")]
    drawn_as: Option<DrawnAs>,

    /// Layers to draw, as for screenshot
    #[arg(long, value_name = "LIST", default_value = "all")]
    layers: Layers,

    #[command(flatten)]
    ladders: LadderArguments,

    /// Continue each line's left part straight across the seam, dashed in orange,
    /// so that breaks and bends show: grid, diagonals and horizon, as far as they are
    /// among the layers, up to the right panel's middle
    #[arg(long = "continue", requires = "out", conflicts_with = "picture")]
    continue_lines: bool,

    /// Azimuth and elevation of the picture's middle; if left out, that of the whole
    /// rig as RIG says, however it is built, so that such pictures can be compared
    #[arg(long, value_name = "AZ,EL", value_parser = two, allow_hyphen_values = true)]
    look_deg: Option<[f64; 2]>,

    /// Width of the picture in degrees; if left out, that of the whole rig as RIG
    /// says, with some room around it
    #[arg(long, value_name = "F")]
    fov_deg: Option<f64>,

    /// rectilinear or cylindrical; rectilinear up to 120° of width if left out, and
    /// cylindrical beyond, which is said
    #[arg(long, value_name = "NAME")]
    projection: Option<Projection>,

    /// Columns and rows of the picture
    #[arg(long, value_name = "WxH", default_value = "1920x1080", value_parser = size)]
    size: [u32; 2],

    /// Give the breaks as JSON on stdout
    #[arg(long)]
    json: bool,

    /// End with exit code 1 if a line breaks by more than this many arc-minutes
    #[arg(long, value_name = "ARCMIN", value_parser = not_negative, allow_hyphen_values = true)]
    max_break: Option<f64>,
}

/// Runs the command.
pub(crate) fn seat(arguments: &Seat) -> Result<ExitCode, Failure> {
    let mut files = Files::new();
    let out = match &arguments.out {
        Some(path) => Some(files.png_output(path)?),
        None => None,
    };
    let drawn = rig_source::load(&arguments.rig, &mut files)?;
    let built = built(arguments, &drawn, &mut files)?;
    let eye = arguments.eye.unwrap_or(DVec3::ZERO);
    let typed = arguments.drawn_as.map(|program| program.program(&drawn));
    let program = match &typed {
        Some(typed) => Some(program::drawing(&drawn, typed)?),
        None => None,
    };
    let ladders = arguments.ladders.ladders(&drawn)?;
    let pattern = |layers: Layers| match &program {
        Some(program) => program.pattern(&Guides::of(&drawn), layers, &mut Typesetter::new()),
        None => {
            let mut typesetter = Typesetter::new();
            let choices = Choices {
                ladders,
                ..Choices::default()
            };
            let guides = Guides::of(&drawn);
            Pattern::with_choices(&drawn, &guides, layers, choices, &mut typesetter)
        }
    };

    let at_seams = match &program {
        Some(program) => program.at_seams(),
        None => seat::at_seams(drawn.layout()),
    };

    let readings = |pattern: &Pattern| match &program {
        Some(program) => program.readings(built.layout(), pattern.lines(), eye),
        None => seat::readings(&at_seams, built.layout(), pattern.lines(), eye),
    };

    let mut picture = None;
    let mut notes = Vec::new();
    if let Some(out) = &out {
        let scene = Scene::new(&drawn, &built, eye);
        let framing = Framing {
            size_px: arguments.size,
            projection: arguments.projection,
            look: arguments.look_deg.map(|look| look.map(f64::to_radians)),
            fov: arguments.fov_deg.map(f64::to_radians),
        };
        // Framed on the rig as its file says, from where the pattern expects the eye:
        // so pictures of the rig built one way and another lie on each other.
        let as_filed = Scene::new(&drawn, &drawn, DVec3::ZERO);
        let camera = Camera::framing(&as_filed.outline(), &framing).map_err(refused)?;
        let canvas = match &arguments.picture {
            Some(path) => shown(path, &drawn, &mut files)?,
            None => {
                let [w, h] = drawn.canvas().size_px;
                let mut canvas = Picture::new([w, h]);
                let marks = pattern(arguments.layers);
                draw(marks.marks(), &mut canvas, PxRect { x: 0, y: 0, w, h });
                canvas
            }
        };
        notes = of_framing(&framing, &camera, &scene, &drawn);
        let mut view = seat::render(scene.clone(), &camera, &canvas);
        drop(canvas);
        if arguments.continue_lines {
            let lines = pattern(arguments.layers);
            let found = readings(&lines);
            let lines = seat::continued(&at_seams, built.layout(), lines.lines(), &found, eye);
            if lines.is_empty() {
                notes.push(
                    "no line of these layers reaches both edges of a seam, so none is continued"
                        .to_owned(),
                );
            }
            seat::draw_continued(&lines, scene, &camera, &mut view);
        }
        picture = Some(write_view(out, &view, &camera, [&drawn, &built], eye)?);
    }

    let lines = pattern(Layers::ALL);
    let readings = readings(&lines);
    let causes = seat::likeliest(&drawn, &at_seams, lines.lines(), &readings);
    let report = Report {
        readings: &readings,
        causes: causes.as_ref(),
        program: typed.as_ref(),
        picture: arguments.picture.as_deref(),
    };
    if arguments.json {
        print(&report.json())?;
    } else {
        print_words(&report.words(&drawn))?;
    }
    if let Some(picture) = picture {
        picture.put_in_place()?;
    }
    notes.into_iter().for_each(tell);

    let too_much = arguments
        .max_break
        .is_some_and(|most| report.worst_arcmin() > most);
    Ok(ExitCode::from(u8::from(too_much)))
}

/// What was chosen of the framing and may surprise, in sentences.
fn of_framing(framing: &Framing, camera: &Camera, scene: &Scene, drawn: &Rig) -> Vec<String> {
    let mut notes = Vec::new();
    if framing.projection.is_none() && camera.projection() == Projection::Cylindrical {
        notes.push(
            "no --projection is named and the picture is wide, so it is cylindrical: lines that are \
             straight for the eye look bent in it, but for the horizon and upright ones"
                .to_owned(),
        );
    }
    if framing.look.is_none() && framing.fov.is_none() {
        for panel in scene.cut_off(camera) {
            notes.push(format!(
                "panel \"{}\" reaches out of the picture, which is framed on the rig as its file \
                 says: a larger --fov-deg than {:.0} shows more",
                drawn.panels()[panel].name,
                camera.fov().to_degrees()
            ));
        }
    }
    notes
}

const SET_BUILT: &str = "--set-built";

/// The rig as it stands.
fn built(arguments: &Seat, drawn: &Rig, files: &mut Files) -> Result<Rig, Failure> {
    let built = match &arguments.built {
        Some(name) => rig_source::load_named(name, &arguments.set_built, SET_BUILT, files)?,
        None if arguments.set_built.is_empty() => return Ok(drawn.clone()),
        // The values of RIG itself, settings and all, are what is built otherwise.
        None => rig::read(&rig::write(drawn), drawn.name(), &arguments.set_built)
            .map_err(|error| Failure::new(error.with_option(SET_BUILT)))?,
    };
    let (here, there) = (drawn.panels(), built.panels());
    if here.len() != there.len() {
        return Err(Failure::new(format!(
            "the rig has {} panels, but the one built has {}: both must have the same panels",
            here.len(),
            there.len()
        )));
    }
    for (number, (one, other)) in here.iter().zip(there).enumerate() {
        if one.pixels != other.pixels {
            let ([w, h], [built_w, built_h]) = (one.pixels, other.pixels);
            return Err(Failure::new(format!(
                "panel {} has {w} x {h} pixels in the rig, but {built_w} x {built_h} in the one built: both must have the same panels",
                number + 1
            )));
        }
    }
    Ok(built)
}

/// A picture of the canvas's size.
fn shown(path: &Path, rig: &Rig, files: &mut Files) -> Result<Picture, Failure> {
    let [w, h] = rig.canvas().size_px;
    let source = png_source::read(path, files, |[width, height]| {
        if [width, height] == [w, h] {
            return Ok(());
        }
        Err(format!(
            "{} is {width} x {height} pixels, but the rig's canvas is {w} x {h}: give a picture of the whole canvas",
            path.display()
        ))
    })?;
    Ok(source.picture)
}

/// Writes a picture aside, with the rigs, the camera and the eye.
fn write_view(
    output: &Output,
    view: &Picture,
    camera: &Camera,
    [drawn, built]: [&Rig; 2],
    eye: DVec3,
) -> Result<Aside, Failure> {
    let [w, h] = view.size_px();
    // Seen from the rig's own distance, pixels of this size look as large as they are drawn.
    let pitch_mm = [drawn.seat().distance_mm / camera.focal_px(); 2];
    let note = ViewNote::of(camera, eye).text();
    let (drawn_text, built_text) = (rig::write(drawn), rig::write(built));
    let mut texts = vec![
        (png_file::RIG_KEYWORD, drawn_text.as_str()),
        (png_file::VIEW_KEYWORD, note.as_str()),
    ];
    if built != drawn {
        texts.push((png_file::BUILT_KEYWORD, built_text.as_str()));
    }
    Aside::write(output, |out| {
        png_file::write_with(view, PxRect { x: 0, y: 0, w, h }, &texts, pitch_mm, out)
    })
}

/// The failure of a view that can't be drawn, with the option that asked for it.
fn refused(error: CameraError) -> Failure {
    let remedy = match error {
        CameraError::Size(_) => "give another --size",
        CameraError::FieldOfView { .. } => "give another --fov-deg",
        CameraError::Look => "correct --look-deg",
        CameraError::Steep => "correct --look-deg, or use --projection rectilinear",
    };
    Failure::new(format!("{error}: {remedy}"))
}

fn numbers<const N: usize>(text: &str, example: &str) -> Result<[f64; N], String> {
    let parsed: Option<Vec<f64>> = text
        .split(',')
        .map(|part| part.trim().parse().ok().filter(|v: &f64| v.is_finite()))
        .collect();
    parsed
        .and_then(|values| <[f64; N]>::try_from(values).ok())
        .ok_or_else(|| format!("expected {N} numbers with commas between, such as {example}"))
}

fn two(text: &str) -> Result<[f64; 2], String> {
    numbers(text, "-30,5")
}

fn three(text: &str) -> Result<DVec3, String> {
    const FARTHEST_MM: f64 = 1e5;
    let eye = DVec3::from_array(numbers(text, "0,10,-60")?);
    if eye.abs().max_element() <= FARTHEST_MM {
        Ok(eye)
    } else {
        Err(format!("the eye may be at most {FARTHEST_MM} mm away"))
    }
}

fn size(text: &str) -> Result<[u32; 2], String> {
    let sides = text.split_once(['x', 'X']);
    sides
        .and_then(|(w, h)| Some([w.trim().parse().ok()?, h.trim().parse().ok()?]))
        .ok_or_else(|| "expected columns x rows, such as 1920x1080".to_owned())
}

fn not_negative(text: &str) -> Result<f64, String> {
    let value = text
        .parse()
        .ok()
        .filter(|v: &f64| v.is_finite() && *v >= 0.0);
    value.ok_or_else(|| "expected a number of arc-minutes, 0 or more".to_owned())
}
