//! What the compositor tells of outputs and surfaces.

use throughline::refresh::Tick;
use wayland_client::globals::GlobalListContents;
use wayland_client::protocol::wl_buffer::WlBuffer;
use wayland_client::protocol::wl_callback::{self, WlCallback};
use wayland_client::protocol::wl_compositor::WlCompositor;
use wayland_client::protocol::wl_output::{self, Mode, WlOutput};
use wayland_client::protocol::wl_registry::{self, WlRegistry};
use wayland_client::protocol::wl_shm::WlShm;
use wayland_client::protocol::wl_shm_pool::WlShmPool;
use wayland_client::protocol::wl_surface::WlSurface;
use wayland_client::{Connection, Dispatch, QueueHandle, WEnum, delegate_noop};
use wayland_protocols::wp::presentation_time::client::wp_presentation::WpPresentation;
use wayland_protocols::wp::presentation_time::client::wp_presentation_feedback::{
    self, Kind, WpPresentationFeedback,
};
use wayland_protocols::xdg::shell::client::xdg_surface::{self, XdgSurface};
use wayland_protocols::xdg::shell::client::xdg_toplevel::{self, XdgToplevel};
use wayland_protocols::xdg::shell::client::xdg_wm_base::{self, XdgWmBase};
use wayland_protocols::xdg::xdg_output::zv1::client::zxdg_output_manager_v1::ZxdgOutputManagerV1;
use wayland_protocols::xdg::xdg_output::zv1::client::zxdg_output_v1::{self, ZxdgOutputV1};

use super::Measuring;

impl Dispatch<WlOutput, usize> for Measuring {
    fn event(
        measuring: &mut Self,
        _: &WlOutput,
        event: wl_output::Event,
        &index: &usize,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
        let output = &mut measuring.outputs[index];
        match event {
            wl_output::Event::Mode {
                flags: WEnum::Value(flags),
                refresh,
                ..
            } if flags.contains(Mode::Current) => {
                output.set_hz = (refresh > 0).then(|| f64::from(refresh) / 1000.0);
            }
            wl_output::Event::Name { name } => output.name = name,
            _ => {}
        }
    }
}

impl Dispatch<ZxdgOutputV1, usize> for Measuring {
    fn event(
        measuring: &mut Self,
        _: &ZxdgOutputV1,
        event: zxdg_output_v1::Event,
        &index: &usize,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
        if let zxdg_output_v1::Event::Name { name } = event {
            measuring.outputs[index].name = name;
        }
    }
}

impl Dispatch<XdgWmBase, ()> for Measuring {
    fn event(
        _: &mut Self,
        shell: &XdgWmBase,
        event: xdg_wm_base::Event,
        (): &(),
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
        if let xdg_wm_base::Event::Ping { serial } = event {
            shell.pong(serial);
        }
    }
}

impl Dispatch<XdgToplevel, usize> for Measuring {
    fn event(
        measuring: &mut Self,
        _: &XdgToplevel,
        event: xdg_toplevel::Event,
        &index: &usize,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
        if let xdg_toplevel::Event::Configure { width, height, .. } = event {
            measuring.outputs[index].size_px = [width, height];
        }
    }
}

impl Dispatch<XdgSurface, usize> for Measuring {
    fn event(
        measuring: &mut Self,
        surface: &XdgSurface,
        event: xdg_surface::Event,
        &index: &usize,
        _: &Connection,
        handle: &QueueHandle<Self>,
    ) {
        if let xdg_surface::Event::Configure { serial } = event {
            surface.ack_configure(serial);
            // Without memory for a buffer the surface stays unplaced, which is told.
            let _ = measuring.place(index, handle);
        }
    }
}

impl Dispatch<WlCallback, usize> for Measuring {
    fn event(
        measuring: &mut Self,
        _: &WlCallback,
        event: wl_callback::Event,
        &index: &usize,
        _: &Connection,
        handle: &QueueHandle<Self>,
    ) {
        if let wl_callback::Event::Done { .. } = event {
            // Its own time is in whole milliseconds.
            let now_s = measuring.start.elapsed().as_secs_f64();
            measuring.outputs[index].frames_s.push(now_s);
            measuring.ask(index, handle);
        }
    }
}

impl Dispatch<WpPresentationFeedback, usize> for Measuring {
    fn event(
        measuring: &mut Self,
        _: &WpPresentationFeedback,
        event: wp_presentation_feedback::Event,
        &index: &usize,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
        let own = &mut measuring.outputs[index];
        match event {
            wp_presentation_feedback::Event::SyncOutput { output } => {
                // It comes just before the presentation that it is about.
                own.is_next_elsewhere = output != own.output;
            }
            wp_presentation_feedback::Event::Presented {
                tv_sec_hi,
                tv_sec_lo,
                tv_nsec,
                seq_hi,
                seq_lo,
                flags,
                ..
            } => {
                if std::mem::take(&mut own.is_next_elsewhere) {
                    own.elsewhere += 1;
                    return;
                }
                let whole = |high: u32, low: u32| (u64::from(high) << 32) | u64::from(low);
                own.ticks.push(Tick {
                    at_s: whole(tv_sec_hi, tv_sec_lo) as f64 + f64::from(tv_nsec) / 1e9,
                    count: whole(seq_hi, seq_lo),
                });
                own.is_synchronised &= matches!(
                    flags,
                    WEnum::Value(flags) if flags.contains(Kind::Vsync)
                );
            }
            _ => {}
        }
    }
}

impl Dispatch<WlRegistry, GlobalListContents> for Measuring {
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

impl Dispatch<WlSurface, usize> for Measuring {
    fn event(
        _: &mut Self,
        _: &WlSurface,
        _: wayland_client::protocol::wl_surface::Event,
        _: &usize,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
    }
}

delegate_noop!(Measuring: ignore WlCompositor);
delegate_noop!(Measuring: ignore WlShm);
delegate_noop!(Measuring: ignore WlShmPool);
delegate_noop!(Measuring: ignore WlBuffer);
delegate_noop!(Measuring: ignore WpPresentation);
delegate_noop!(Measuring: ignore ZxdgOutputManagerV1);
