//! What the window library leaves out on X11, asked of the server directly.

use std::error::Error;

use throughline::display::Display;
use x11rb::connection::Connection;
use x11rb::protocol::randr::{ConnectionExt as _, MonitorInfo};
use x11rb::protocol::xproto::{
    AtomEnum, ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask, InputFocus,
    WindowClass,
};
use x11rb::rust_connection::RustConnection;

use crate::desktop::mode_px;

/// A second connection to the display server.
pub(super) struct Server {
    connection: RustConnection,
    root: u32,
    /// A window that is never shown, about which managers are asked.
    sounding: u32,
}

impl Server {
    /// Connects to the server that `DISPLAY` names.
    pub(super) fn connect() -> Result<Server, Box<dyn Error>> {
        let (connection, screen) = x11rb::connect(None)?;
        let roots = &connection.setup().roots;
        let root = roots.get(screen).ok_or("no such screen")?.root;
        let sounding = connection.generate_id()?;
        let values = CreateWindowAux::new();
        connection
            .create_window(
                x11rb::COPY_DEPTH_FROM_PARENT,
                sounding,
                root,
                0,
                0,
                1,
                1,
                0,
                WindowClass::INPUT_OUTPUT,
                x11rb::COPY_FROM_PARENT,
                &values,
            )?
            .check()?;
        Ok(Server {
            connection,
            root,
            sounding,
        })
    }

    /// The outputs that show something: name, place and size, and which one is the
    /// primary. The window library keeps a list that a change does not always reach.
    pub(super) fn outputs(&self) -> Result<Vec<Display>, Box<dyn Error>> {
        let primary = self.connection.randr_get_output_primary(self.root)?;
        let resources = self
            .connection
            .randr_get_screen_resources_current(self.root)?
            .reply()?;
        let primary = primary.reply()?.output;
        let time = resources.config_timestamp;
        let mut displays = Vec::new();
        for crtc in resources.crtcs {
            let crtc = self.connection.randr_get_crtc_info(crtc, time)?.reply()?;
            let Some(&number) = crtc.outputs.first() else {
                continue;
            };
            if crtc.width == 0 || crtc.height == 0 {
                continue;
            }
            let output = self
                .connection
                .randr_get_output_info(number, time)?
                .reply()?;
            displays.push(Display {
                name: String::from_utf8_lossy(&output.name).into_owned(),
                position_px: [crtc.x.into(), crtc.y.into()],
                size_px: [crtc.width.into(), crtc.height.into()],
                mode_px: mode_px(&resources.modes, &crtc),
                scale: 1.0,
                refresh_hz: None,
                size_mm: None,
                is_primary: number == primary,
                features: Default::default(),
            });
        }
        // As the window library has it: where none is chosen, it is the first.
        if displays.iter().all(|display| !display.is_primary)
            && let Some(first) = displays.first_mut()
        {
            first.is_primary = true;
        }
        Ok(displays)
    }

    /// Whether a window manager runs.
    pub(super) fn has_window_manager(&self) -> Result<bool, Box<dyn Error>> {
        let check = self.atom("_NET_SUPPORTING_WM_CHECK")?;
        let named_by = |window: u32| -> Result<Option<u32>, Box<dyn Error>> {
            let asked =
                self.connection
                    .get_property(false, window, check, AtomEnum::WINDOW, 0, 1)?;
            // A window that has gone names none.
            let reply = asked.reply().ok();
            Ok(reply.and_then(|reply| reply.value32()?.next()))
        };
        // A manager that has gone leaves the root's property behind, and its
        // window's number may be another's by now: its own names itself.
        match named_by(self.root)? {
            Some(window) => Ok(named_by(window)? == Some(window)),
            None => Ok(false),
        }
    }

    /// Whether a window manager has taken a window up (ICCCM, section 4.1.3.1):
    /// before, it knows no window of that number.
    pub(super) fn is_taken_up(&self, window: u32) -> Result<bool, Box<dyn Error>> {
        let state = self.atom("WM_STATE")?;
        let asked = self
            .connection
            .get_property(false, window, state, state, 0, 1)?;
        Ok(asked.reply()?.value_len > 0)
    }

    /// Asks once more for a window to be shown: a manager that was just starting may
    /// have missed it.
    pub(super) fn show_again(&self, window: u32) -> Result<(), Box<dyn Error>> {
        self.connection.map_window(window)?.check()?;
        Ok(())
    }

    /// Whether a window manager has made a window full screen.
    pub(super) fn is_full_screen(&self, window: u32) -> Result<bool, Box<dyn Error>> {
        let full_screen = self.atom("_NET_WM_STATE_FULLSCREEN")?;
        let state = self.atom("_NET_WM_STATE")?;
        Ok(self.atoms_of(window, state)?.contains(&full_screen))
    }

    /// Asks the window manager for something that it answers at once, so that
    /// [`Server::has_answered`] tells when it has read everything before it.
    /// Gives `false` where it is not known to answer.
    pub(super) fn sound(&self) -> Result<bool, Box<dyn Error>> {
        // The estimate of a window's frame, for one that isn't shown yet.
        let question = self.atom("_NET_REQUEST_FRAME_EXTENTS")?;
        let supported = self.atoms_of(self.root, self.atom("_NET_SUPPORTED")?)?;
        if !supported.contains(&question) {
            return Ok(false);
        }
        let answer = self.atom("_NET_FRAME_EXTENTS")?;
        self.connection
            .delete_property(self.sounding, answer)?
            .check()?;
        self.tell(self.sounding, question, [0; 5])?;
        Ok(true)
    }

    /// Whether the window manager has answered the last [`Server::sound`].
    pub(super) fn has_answered(&self) -> Result<bool, Box<dyn Error>> {
        let answer = self.atom("_NET_FRAME_EXTENTS")?;
        let asked =
            self.connection
                .get_property(false, self.sounding, answer, AtomEnum::ANY, 0, 1)?;
        Ok(asked.reply()?.type_ != x11rb::NONE)
    }

    /// Gives a window the keyboard, where no window manager does.
    pub(super) fn focus(&self, window: u32) -> Result<(), Box<dyn Error>> {
        self.connection
            .set_input_focus(InputFocus::POINTER_ROOT, window, x11rb::CURRENT_TIME)?
            .check()?;
        Ok(())
    }

    /// Asks the window manager for a full-screen window over the displays in a
    /// rectangle of the desktop. Gives `false` where it doesn't know how.
    pub(super) fn full_screen(
        &self,
        window: u32,
        at: [i32; 2],
        size: [u32; 2],
    ) -> Result<bool, Box<dyn Error>> {
        if !self.has_window_manager()? {
            return Ok(false);
        }
        let supported = self.atoms_of(self.root, self.atom("_NET_SUPPORTED")?)?;
        let monitors = self
            .connection
            .randr_get_monitors(self.root, true)?
            .reply()?
            .monitors;
        let area = |m: &MonitorInfo| {
            let [x, y] = [m.x, m.y].map(i64::from);
            [x, y, x + i64::from(m.width), y + i64::from(m.height)]
        };
        let ([x, y], [w, h]) = (at.map(i64::from), size.map(i64::from));
        // The protocol's order; the number of a display is its place in the list.
        let inside: Vec<(u32, [i64; 4])> = (0..)
            .zip(monitors.iter().map(area))
            .filter(|(_, [l, t, r, b])| *l >= x && *t >= y && *r <= x + w && *b <= y + h)
            .collect();
        let least = |axis: usize| inside.iter().min_by_key(|(_, area)| area[axis]);
        let most = |axis: usize| inside.iter().max_by_key(|(_, area)| area[axis]);
        let (Some(left), Some(top), Some(right), Some(bottom)) =
            (least(0), least(1), most(2), most(3))
        else {
            return Ok(false);
        };
        let message = self.atom("_NET_WM_FULLSCREEN_MONITORS")?;
        if supported.contains(&message) {
            // The source is an application: the last number of both messages.
            self.tell(window, message, [top.0, bottom.0, left.0, right.0, 1])?;
        } else if inside.len() > 1 {
            return Ok(false);
        }
        self.set_full_screen(window, true)?;
        Ok(true)
    }

    /// Takes back what [`Server::full_screen`] asked for.
    pub(super) fn leave_full_screen(&self, window: u32) -> Result<(), Box<dyn Error>> {
        self.set_full_screen(window, false)
    }

    fn set_full_screen(&self, window: u32, is_on: bool) -> Result<(), Box<dyn Error>> {
        let state = self.atom("_NET_WM_STATE")?;
        let fullscreen = self.atom("_NET_WM_STATE_FULLSCREEN")?;
        self.tell(window, state, [is_on.into(), fullscreen, 0, 1, 0])
    }

    fn atom(&self, name: &str) -> Result<u32, Box<dyn Error>> {
        let cookie = self.connection.intern_atom(false, name.as_bytes())?;
        Ok(cookie.reply()?.atom)
    }

    fn atoms_of(&self, window: u32, property: u32) -> Result<Vec<u32>, Box<dyn Error>> {
        let asked =
            self.connection
                .get_property(false, window, property, AtomEnum::ATOM, 0, 4096)?;
        Ok(asked.reply()?.value32().into_iter().flatten().collect())
    }

    fn tell(&self, window: u32, message: u32, data: [u32; 5]) -> Result<(), Box<dyn Error>> {
        let event = ClientMessageEvent::new(32, window, message, data);
        let mask = EventMask::SUBSTRUCTURE_REDIRECT | EventMask::SUBSTRUCTURE_NOTIFY;
        self.connection
            .send_event(false, self.root, mask, event)?
            .check()?;
        Ok(())
    }
}
