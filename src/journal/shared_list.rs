//! A list that grows at its end and whose copies share what they have in common: a state
//! that is copied to look one answer ahead copies no reading.

use std::ops::Index;
use std::sync::Arc;

/// How many items are shared together.
const TOGETHER: usize = 256;

/// A list that grows at its end. A copy costs little, however long it is.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedList<T> {
    /// All but the last have [`TOGETHER`] items, and the last has one at least.
    chunks: Vec<Arc<Vec<T>>>,
}

impl<T> Default for SharedList<T> {
    fn default() -> SharedList<T> {
        SharedList { chunks: Vec::new() }
    }
}

impl<T> SharedList<T> {
    /// How many items there are.
    pub fn len(&self) -> usize {
        let last = self.chunks.last().map_or(0, |last| last.len());
        self.chunks.len().saturating_sub(1) * TOGETHER + last
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.chunks.is_empty()
    }

    /// The item at a place.
    pub fn get(&self, at: usize) -> Option<&T> {
        self.chunks.get(at / TOGETHER)?.get(at % TOGETHER)
    }

    /// The last item.
    pub fn last(&self) -> Option<&T> {
        self.chunks.last()?.last()
    }

    /// Every item, the first one first.
    pub fn iter(&self) -> Items<'_, T> {
        self.chunks.iter().flat_map(|chunk| chunk.iter())
    }

    /// The items before the first of which this isn't so, where it is so of all before that
    /// one and of none after it.
    pub fn up_to(&self, is_before: impl Fn(&T) -> bool) -> impl DoubleEndedIterator<Item = &T> {
        let whole = self.chunks.partition_point(|chunk| chunk.last().is_some_and(&is_before));
        let rest = self.chunks.get(whole).map_or(&[][..], |chunk| chunk.as_slice());
        let rest = &rest[..rest.partition_point(is_before)];
        self.chunks[..whole].iter().flat_map(|chunk| chunk.iter()).chain(rest)
    }
}

impl<T: Clone> SharedList<T> {
    /// Adds an item at the end.
    pub fn push(&mut self, item: T) {
        match self.chunks.last_mut().filter(|last| last.len() < TOGETHER) {
            Some(last) => Arc::make_mut(last).push(item),
            None => self.chunks.push(Arc::new(vec![item])),
        }
    }

    /// The last item, to be changed.
    pub fn last_mut(&mut self) -> Option<&mut T> {
        Arc::make_mut(self.chunks.last_mut()?).last_mut()
    }
}

/// The items of a list, one after another.
type Items<'a, T> = std::iter::FlatMap<
    std::slice::Iter<'a, Arc<Vec<T>>>,
    std::slice::Iter<'a, T>,
    fn(&'a Arc<Vec<T>>) -> std::slice::Iter<'a, T>,
>;

impl<T> Index<usize> for SharedList<T> {
    type Output = T;

    fn index(&self, at: usize) -> &T {
        &self.chunks[at / TOGETHER][at % TOGETHER]
    }
}

impl<'a, T> IntoIterator for &'a SharedList<T> {
    type Item = &'a T;
    type IntoIter = Items<'a, T>;

    fn into_iter(self) -> Items<'a, T> {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Always: A list that copies share reads as a plain one, and no copy changes
        /// another.
        #[test]
        fn a_shared_list_reads_as_a_plain_one(
            count in 0..1000_usize, more in 0..600_usize, at in 0..1700_usize
        ) {
            let (mut list, mut plain) = (SharedList::default(), Vec::new());
            let mut add = |list: &mut SharedList<usize>, n: usize| {
                list.push(n);
                plain.push(n);
            };
            (0..count).for_each(|n| add(&mut list, n));
            let before = list.clone();
            (count..count + more).for_each(|n| add(&mut list, n));
            prop_assert!(before.iter().copied().eq(0..count));
            prop_assert!(list.iter().eq(&plain) && list.iter().rev().eq(plain.iter().rev()));
            prop_assert_eq!((list.len(), list.is_empty()), (plain.len(), plain.is_empty()));
            prop_assert_eq!((list.get(at), list.last()), (plain.get(at), plain.last()));
            prop_assert!(list.up_to(|n| *n < at).eq(plain.iter().take_while(|n| **n < at)));
            if let Some(last) = list.last_mut() {
                *last += 1;
            }
            prop_assert_eq!(list.last().copied(), plain.last().map(|last| last + 1));
            prop_assert!(before.iter().copied().eq(0..count));
        }
    }
}
