//! What `sheet` writes for other programs and for scissors.

use throughline::numbers::Warp;
use throughline::rig::Rig;
use throughline::template;

use crate::files::{Aside, Failure, Output, pfm_file, tell};

/// Writes a view's warp aside.
pub(super) fn write_warp(rig: &Rig, name: &str, output: &Output) -> Result<Aside, Failure> {
    let Some(view) = rig.view_named(name) else {
        let names: Vec<String> = (rig.views().iter())
            .map(|view| format!("\"{}\"", rig.view_name(view.id)))
            .collect();
        return Err(Failure::new(format!(
            "--warp: the rig has no view \"{name}\": name one of {}",
            names.join(", ")
        )));
    };
    let Some(warp) = Warp::of(&view) else {
        return Err(Failure::new(format!(
            "--warp: the view \"{name}\" reaches round the eye, so that its corners lie behind \
             it and no flat picture covers it: give its panel more views"
        )));
    };
    let beyond = warp.beyond();
    if beyond > 0.0 {
        tell(format!(
            "the eye is above or below \"{name}\", so that a part of this curved view lies \
             outside its flat picture: x or y reach {beyond:.4} beyond 0 to 1 there"
        ));
    }
    Aside::write(output, |out| pfm_file::write(&warp, out))
}

/// Writes a rig's templates aside.
pub(super) fn write_template(rig: &Rig, output: &Output) -> Result<Aside, Failure> {
    let pdf = template::pdf(rig);
    Aside::write(output, |out| out.write_all(&pdf))
}
