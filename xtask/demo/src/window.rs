//! A window of the demo's own, for the editor to be put into.

use anyhow::Context as _;
use x11rb::COPY_DEPTH_FROM_PARENT;
use x11rb::connection::Connection as _;
use x11rb::properties::WmSizeHints;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    AtomEnum, ConfigureWindowAux, ConnectionExt as _, CreateWindowAux, EventMask, PropMode, WindowClass,
};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

/// Before the editor says its size, in pixels.
const SIZE: (u16, u16) = (1084, 680);

/// Whether the editor's window can be shown: it takes an X11 display.
pub(crate) fn is_possible() -> bool {
    cfg!(target_os = "linux") && std::env::var_os("DISPLAY").is_some_and(|display| !display.is_empty())
}

/// A window on the display that `DISPLAY` names.
pub(crate) struct Window {
    connection: RustConnection,
    pub(crate) id: u32,
    delete: u32,
}

impl Window {
    pub(crate) fn open() -> anyhow::Result<Self> {
        let (connection, screen) = x11rb::connect(None).context("the display can't be reached")?;
        let root = connection.setup().roots[screen].root;
        let atom =
            |name: &[u8]| -> anyhow::Result<u32> { Ok(connection.intern_atom(false, name)?.reply()?.atom) };
        let (protocols, delete) = (atom(b"WM_PROTOCOLS")?, atom(b"WM_DELETE_WINDOW")?);
        let window = connection.generate_id()?;
        let aux = CreateWindowAux::new().background_pixel(0).event_mask(EventMask::STRUCTURE_NOTIFY);
        let (width, height) = SIZE;
        let class = WindowClass::INPUT_OUTPUT;
        connection
            .create_window(COPY_DEPTH_FROM_PARENT, window, root, 0, 0, width, height, 0, class, 0, &aux)?
            .check()?;
        let title = b"Candlemark, the demo";
        connection.change_property8(PropMode::REPLACE, window, AtomEnum::WM_NAME, AtomEnum::STRING, title)?;
        connection.change_property32(PropMode::REPLACE, window, protocols, AtomEnum::ATOM, &[delete])?;
        let opened = Self { connection, id: window, delete };
        opened.resize(width.into(), height.into())?;
        opened.connection.map_window(window)?;
        opened.connection.sync()?;
        Ok(opened)
    }

    /// Makes it as large as this, in pixels, and not to be changed: what is in it has one size.
    pub(crate) fn resize(&self, width: u32, height: u32) -> anyhow::Result<()> {
        let size = (width as i32, height as i32);
        let hints = WmSizeHints { min_size: Some(size), max_size: Some(size), ..WmSizeHints::new() };
        hints.set_normal_hints(&self.connection, self.id)?;
        let aux = ConfigureWindowAux::new().width(width).height(height);
        self.connection.configure_window(self.id, &aux)?;
        self.connection.flush()?;
        Ok(())
    }

    /// Whether the person has closed it, or the display is gone.
    pub(crate) fn is_closed(&self) -> bool {
        loop {
            match self.connection.poll_for_event() {
                Ok(Some(Event::ClientMessage(message))) if message.data.as_data32()[0] == self.delete => {
                    return true;
                }
                Ok(Some(Event::DestroyNotify(gone))) if gone.window == self.id => return true,
                Ok(Some(_)) => {}
                Ok(None) => return false,
                Err(_) => return true,
            }
        }
    }
}
