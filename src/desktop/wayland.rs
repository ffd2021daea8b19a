//! Physical sizes, turned sizes and scale factors from a Wayland compositor.

use std::error::Error;

use wayland_client::globals::{GlobalListContents, registry_queue_init};
use wayland_client::protocol::wl_output::{self, Mode, Transform, WlOutput};
use wayland_client::protocol::wl_registry::{self, WlRegistry};
use wayland_client::{Connection, Dispatch, Proxy, QueueHandle, WEnum, delegate_noop};
use wayland_protocols::xdg::xdg_output::zv1::client::zxdg_output_manager_v1::ZxdgOutputManagerV1;
use wayland_protocols::xdg::xdg_output::zv1::client::zxdg_output_v1::{self, ZxdgOutputV1};

use super::hints::{Hint, claimed_size_mm};

/// The first version of an output that has a name.
const OUTPUT_WITH_NAME: u32 = 4;

/// What the compositor knows about its outputs.
pub(super) fn hints() -> Result<Vec<Hint>, Box<dyn Error>> {
    let connection = Connection::connect_to_env()?;
    let (globals, mut queue) = registry_queue_init::<Outputs>(&connection)?;
    let handle = queue.handle();
    let manager = globals
        .bind::<ZxdgOutputManagerV1, _, _>(&handle, 1..=3, ())
        .ok();
    let mut outputs = Outputs::default();
    let listed = globals.contents().clone_list();
    let named = listed.iter().filter(|global| {
        global.interface == WlOutput::interface().name && global.version >= OUTPUT_WITH_NAME
    });
    for (index, global) in named.enumerate() {
        let output: WlOutput =
            globals
                .registry()
                .bind(global.name, OUTPUT_WITH_NAME, &handle, index);
        if let Some(manager) = &manager {
            manager.get_xdg_output(&output, &handle, index);
        }
        outputs.0.push(Output::default());
    }
    queue.roundtrip(&mut outputs)?;
    Ok(outputs.0.iter().map(Output::hint).collect())
}

#[derive(Default)]
struct Outputs(Vec<Output>);

#[derive(Default)]
struct Output {
    name: String,
    size_mm: [i32; 2],
    is_on_its_side: bool,
    mode_px: Option<[u32; 2]>,
    logical: Option<[u32; 2]>,
    position: Option<[i32; 2]>,
}

impl Output {
    fn hint(&self) -> Hint {
        let mut size_mm = self.size_mm.map(f64::from);
        let mut size_px = self.mode_px;
        if self.is_on_its_side {
            size_mm.reverse();
            size_px = size_px.map(|[w, h]| [h, w]);
        }
        Hint {
            name: self.name.clone(),
            size_mm: claimed_size_mm(size_mm),
            position_px: self.position,
            size_px,
            scale: size_px
                .zip(self.logical)
                .and_then(|(size, logical)| scale(size, logical)),
            ..Hint::default()
        }
    }
}

/// The scale factor that makes a logical size, which is rounded, of a size in pixels.
fn scale(size_px: [u32; 2], logical: [u32; 2]) -> Option<f64> {
    // Compositors set scale factors in steps of 1/120, the unit of the
    // protocol for fractional ones.
    const STEP: f64 = 120.0;
    if logical.contains(&0) {
        return None;
    }
    let ratio = f64::from(size_px[0]) / f64::from(logical[0]);
    Some((ratio * STEP).round() / STEP)
}

impl Dispatch<WlOutput, usize> for Outputs {
    fn event(
        outputs: &mut Self,
        _: &WlOutput,
        event: wl_output::Event,
        &index: &usize,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
        let output = &mut outputs.0[index];
        match event {
            wl_output::Event::Geometry {
                physical_width,
                physical_height,
                transform,
                ..
            } => {
                output.size_mm = [physical_width, physical_height];
                output.is_on_its_side = matches!(
                    transform,
                    WEnum::Value(
                        Transform::_90
                            | Transform::_270
                            | Transform::Flipped90
                            | Transform::Flipped270
                    )
                );
            }
            wl_output::Event::Mode {
                flags: WEnum::Value(flags),
                width,
                height,
                ..
            } if flags.contains(Mode::Current) => {
                output.mode_px = sides(width, height);
            }
            wl_output::Event::Name { name } => output.name = name,
            _ => {}
        }
    }
}

impl Dispatch<ZxdgOutputV1, usize> for Outputs {
    fn event(
        outputs: &mut Self,
        _: &ZxdgOutputV1,
        event: zxdg_output_v1::Event,
        &index: &usize,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
        let output = &mut outputs.0[index];
        match event {
            zxdg_output_v1::Event::LogicalSize { width, height } => {
                output.logical = sides(width, height);
            }
            zxdg_output_v1::Event::LogicalPosition { x, y } => output.position = Some([x, y]),
            _ => {}
        }
    }
}

impl Dispatch<WlRegistry, GlobalListContents> for Outputs {
    fn event(
        _: &mut Self,
        _: &WlRegistry,
        _: wl_registry::Event,
        _: &GlobalListContents,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
    }
}

delegate_noop!(Outputs: ignore ZxdgOutputManagerV1);

fn sides(width: i32, height: i32) -> Option<[u32; 2]> {
    Some([u32::try_from(width).ok()?, u32::try_from(height).ok()?])
}
