//! The graphics adapters that draw: one for all windows, wherever it can.

use std::sync::{Arc, Mutex, PoisonError};

use pixels::wgpu;

use super::plate::Pipeline;
use super::timings;
use crate::desktop::one_line;

/// Names the adapter to use, or a part of its name.
const NAME_VARIABLE: &str = "WGPU_ADAPTER_NAME";

/// The adapters that were opened so far, and the way to more.
pub(super) struct Adapters {
    instance: wgpu::Instance,
    opened: Vec<Adapter>,
}

impl Adapters {
    /// None opened yet.
    pub(super) fn new() -> Adapters {
        let backends = wgpu::Backends::from_env().unwrap_or(wgpu::Backends::PRIMARY);
        let instance = wgpu::Instance::new(wgpu::InstanceDescriptor {
            backends,
            ..wgpu::InstanceDescriptor::new_without_display_handle_from_env()
        });
        Adapters {
            instance,
            opened: Vec::new(),
        }
    }

    /// A surface to draw into a window or whatever else has one.
    ///
    /// # Errors
    ///
    /// Why none can be made, in one line.
    pub(super) fn surface(
        &self,
        target: impl Into<wgpu::SurfaceTarget<'static>>,
    ) -> Result<wgpu::Surface<'static>, String> {
        let made = self.instance.create_surface(target);
        made.map_err(|error| one_line(&error.to_string()))
    }

    /// The adapter for a surface: one that is open already, where it can present
    /// to it, else another.
    ///
    /// # Errors
    ///
    /// Why there is none, in one line.
    pub(super) fn adapter_for(
        &mut self,
        surface: &wgpu::Surface<'_>,
    ) -> Result<&mut Adapter, String> {
        let instance = &self.instance;
        first_or_other(
            &mut self.opened,
            |adapter| adapter.inner.is_surface_supported(surface),
            || Adapter::open(instance, surface),
        )
    }
}

/// The first item that fits, else another that is made and kept.
fn first_or_other<T, E>(
    items: &mut Vec<T>,
    fits: impl Fn(&T) -> bool,
    make: impl FnOnce() -> Result<T, E>,
) -> Result<&mut T, E> {
    let index = match items.iter().position(fits) {
        Some(index) => index,
        None => {
            items.push(make()?);
            items.len() - 1
        }
    };
    Ok(&mut items[index])
}

/// An adapter, its device, and the pipelines that were made on it.
pub(super) struct Adapter {
    inner: wgpu::Adapter,
    device: Device,
    pipelines: Vec<Pipeline>,
}

impl Adapter {
    fn open(instance: &wgpu::Instance, surface: &wgpu::Surface<'_>) -> Result<Adapter, String> {
        let inner = match named(instance, surface)? {
            Some(named) => named,
            None => {
                let any = wgpu::RequestAdapterOptions {
                    compatible_surface: Some(surface),
                    power_preference: wgpu::PowerPreference::from_env().unwrap_or_default(),
                    ..Default::default()
                };
                pollster::block_on(instance.request_adapter(&any))
                    .map_err(|error| one_line(&error.to_string()))?
            }
        };
        Ok(Adapter {
            device: Device::of(&inner)?,
            inner,
            pipelines: Vec::new(),
        })
    }

    /// Its device.
    pub(super) fn device(&self) -> Device {
        self.device.clone()
    }

    /// Whether a surface can show the newest frame without waiting for those before.
    pub(super) fn can_overtake(&self, surface: &wgpu::Surface<'_>) -> bool {
        let modes = surface.get_capabilities(&self.inner).present_modes;
        modes.contains(&wgpu::PresentMode::Mailbox)
    }

    /// What a surface's frames are for: they are copied into, where it lets them be, and
    /// drawn into else.
    pub(super) fn usage_for(&self, surface: &wgpu::Surface<'_>) -> wgpu::TextureUsages {
        let usages = surface.get_capabilities(&self.inner).usages;
        wgpu::TextureUsages::RENDER_ATTACHMENT | (usages & wgpu::TextureUsages::COPY_DST)
    }

    /// The format that codes arrive in as they are on a surface, where it has one.
    pub(super) fn format_for(&self, surface: &wgpu::Surface<'_>) -> Option<wgpu::TextureFormat> {
        let formats = surface.get_capabilities(&self.inner).formats;
        // Others than these would take the codes for light.
        let plain = [
            wgpu::TextureFormat::Bgra8Unorm,
            wgpu::TextureFormat::Rgba8Unorm,
        ];
        let srgb = formats.iter().find(|format| format.is_srgb());
        let format = srgb.or(formats.iter().find(|format| plain.contains(format)));
        format.copied()
    }

    /// The pipeline that draws into targets of a format: one for all windows.
    pub(super) fn pipeline(&mut self, target: wgpu::TextureFormat) -> Pipeline {
        let known = self.pipelines.iter().find(|known| known.target() == target);
        if let Some(known) = known {
            return known.clone();
        }
        let made = Pipeline::new(&self.device.inner, target);
        timings::made("pipeline", &format!("{target:?}"));
        self.pipelines.push(made.clone());
        made
    }
}

/// The adapter that the environment names, where it names one and that can present
/// to a surface. A name of none that is here is told: wgpu's own search would panic.
fn named(
    instance: &wgpu::Instance,
    surface: &wgpu::Surface<'_>,
) -> Result<Option<wgpu::Adapter>, String> {
    let Ok(name) = std::env::var(NAME_VARIABLE) else {
        return Ok(None);
    };
    let wanted = name.to_lowercase();
    let mut all = pollster::block_on(instance.enumerate_adapters(wgpu::Backends::all()));
    all.retain(|adapter| adapter.get_info().name.to_lowercase().contains(&wanted));
    if all.is_empty() {
        return Err(format!("{NAME_VARIABLE} names none that is here"));
    }
    Ok(all
        .into_iter()
        .find(|adapter| adapter.is_surface_supported(surface)))
}

/// An adapter's device, shared by all that draw on it.
#[derive(Clone)]
pub(super) struct Device {
    /// What makes textures, frames and so on.
    pub inner: wgpu::Device,
    /// What they are sent to the adapter by.
    pub queue: wgpu::Queue,
    /// What the driver complained of first.
    fault: Arc<Mutex<Option<String>>>,
}

impl Device {
    fn of(adapter: &wgpu::Adapter) -> Result<Device, String> {
        let (inner, queue) = pollster::block_on(adapter.request_device(&wgpu::DeviceDescriptor {
            required_limits: adapter.limits(),
            ..Default::default()
        }))
        .map_err(|error| one_line(&error.to_string()))?;
        let fault = Arc::new(Mutex::new(None));
        let told = Arc::clone(&fault);
        inner.on_uncaptured_error(Arc::new(move |error: wgpu::Error| {
            let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
            told.get_or_insert_with(|| one_line(&error.to_string()));
        }));
        let told = Arc::clone(&fault);
        inner.set_device_lost_callback(move |reason, words| {
            // Whoever drops it knows.
            if reason != wgpu::DeviceLostReason::Destroyed {
                let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
                told.get_or_insert(format!(
                    "the graphics adapter was lost: {}",
                    one_line(&words)
                ));
            }
        });
        timings::made("graphics device", &one_line(&adapter.get_info().name));
        Ok(Device {
            inner,
            queue,
            fault,
        })
    }

    /// Most columns, and most rows, that it draws.
    pub(super) fn limit_px(&self) -> u32 {
        self.inner.limits().max_texture_dimension_2d
    }

    /// What the driver complained of first since this was asked last.
    pub(super) fn take_fault(&self) -> Option<String> {
        let mut fault = self.fault.lock().unwrap_or_else(PoisonError::into_inner);
        fault.take()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_fits_is_shared_and_what_fits_nothing_gets_another() {
        let mut made = Vec::new();
        let mut number = 0;
        let mut take = |fits: fn(&u32) -> bool| {
            number += 10;
            *first_or_other(&mut made, fits, || Ok::<u32, ()>(number)).expect("it can be made")
        };
        assert_eq!(take(|_| true), 10, "the first is made");
        assert_eq!(take(|_| true), 10, "the second window shares it");
        assert_eq!(take(|item| *item != 10), 30, "where it can't, another");
        assert_eq!(take(|item| *item != 10), 30, "which is shared, too");
        assert_eq!(take(|_| true), 10);
        assert_eq!(made, [10, 30]);
    }

    #[test]
    fn what_cannot_be_made_leaves_the_others_alone() {
        let mut made = vec![1];
        let failed = first_or_other(&mut made, |_| false, || Err("no driver"));
        assert_eq!(failed, Err("no driver"));
        assert_eq!(made, [1]);
    }
}
