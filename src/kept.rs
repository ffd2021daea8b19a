//! What takes long to make and is asked for again and again.

use std::sync::{Arc, Mutex, PoisonError};

/// A few things that were made before, the newest last.
pub(crate) struct Kept<T> {
    things: Mutex<Vec<Arc<T>>>,
    most: usize,
}

impl<T> Kept<T> {
    /// Room for so many.
    pub(crate) const fn new(most: usize) -> Kept<T> {
        Kept {
            things: Mutex::new(Vec::new()),
            most,
        }
    }

    /// The first thing that is the wanted one, else another that is made and kept; the
    /// oldest goes where there is no room.
    pub(crate) fn get(&self, is_wanted: impl Fn(&T) -> bool, make: impl FnOnce() -> T) -> Arc<T> {
        let mut things = self.things.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(thing) = things.iter().find(|thing| is_wanted(thing)) {
            return Arc::clone(thing);
        }
        let thing = Arc::new(make());
        if things.len() == self.most {
            things.remove(0);
        }
        things.push(Arc::clone(&thing));
        thing
    }
}
