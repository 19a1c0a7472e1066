//! A PDF written object by object: of what is written only the places are held.

use super::Fault;
use lopdf::{Object, ObjectId, ObjectStream, Stream, StringFormat, dictionary};
use sha2::{Digest as _, Sha256};
use std::io;

/// Small objects are packed together: the tags of a pack are most of its length.
const GROUP: usize = 200;

/// Where an object stands.
#[derive(Clone, Copy)]
enum Place {
    Nowhere,
    At(u64),
    /// In a group of objects, at a place in it.
    In(u32, u16),
}

/// Takes the objects of a file.
pub struct Writer<'a> {
    out: &'a mut dyn FnMut(&[u8]) -> io::Result<()>,
    at: u64,
    sum: Sha256,
    /// Of the objects from number 1 on.
    places: Vec<Place>,
    group: Vec<(ObjectId, Object)>,
}

impl<'a> Writer<'a> {
    pub fn begun(out: &'a mut dyn FnMut(&[u8]) -> io::Result<()>) -> Result<Self, Fault> {
        let mut writer = Self {
            out,
            at: 0,
            sum: Sha256::new(),
            places: Vec::new(),
            group: Vec::new(),
        };
        writer.bytes(b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n")?;
        Ok(writer)
    }

    /// How many bytes were written.
    pub fn length(&self) -> u64 {
        self.at
    }

    /// How many numbers of objects are taken.
    pub fn taken(&self) -> u32 {
        u32::try_from(self.places.len()).unwrap_or(u32::MAX)
    }

    /// Takes numbers.
    pub fn take(&mut self, count: u32) {
        let count = usize::try_from(count).unwrap_or(usize::MAX);
        let all = self.places.len().saturating_add(count);
        self.places.resize(all, Place::Nowhere);
    }

    /// The number of an object that is put later.
    pub fn reserve(&mut self) -> ObjectId {
        self.take(1);
        (self.taken(), 0)
    }

    /// Puts an object.
    pub fn put(&mut self, id: ObjectId, object: Object) -> Result<(), Fault> {
        if matches!(object, Object::Stream(_)) {
            return self.alone(id, &object);
        }
        self.group.push((id, object));
        match self.group.len() < GROUP {
            true => Ok(()),
            false => self.close_group(),
        }
    }

    /// Puts an object that has no number yet.
    pub fn add(&mut self, object: Object) -> Result<ObjectId, Fault> {
        let id = self.reserve();
        self.put(id, object)?;
        Ok(id)
    }

    /// Writes where all objects stand, which ends the file.
    pub fn finish(mut self, root: ObjectId, info: ObjectId) -> Result<u64, Fault> {
        self.close_group()?;
        let (start, own) = (self.at, self.reserve());
        self.note(own, Place::At(start));
        // Objects that were never put are free, as number 0 is.
        let mut table = vec![0, 0, 0, 0, 0, 0, 0xFF, 0xFF];
        for place in &self.places {
            let (kind, first, second) = match *place {
                Place::Nowhere => (0, 0, u16::MAX),
                Place::At(at) => (1, at, 0),
                Place::In(group, index) => (2, u64::from(group), index),
            };
            table.push(kind);
            table.extend(first.to_be_bytes().into_iter().skip(3));
            table.extend(second.to_be_bytes());
        }
        // The identity is that of the bytes before it.
        let digest = self.sum.clone().finalize();
        let digest = digest.iter().take(16).copied().collect();
        let identity = Object::String(digest, StringFormat::Hexadecimal);
        let head = dictionary! {
            "Type" => "XRef",
            "Size" => i64::from(self.taken()) + 1,
            "W" => vec![1.into(), 5.into(), 2.into()],
            "Root" => root,
            "Info" => info,
            "ID" => vec![identity.clone(), identity],
        };
        let mut stream = Stream::new(head, table);
        stream.compress()?;
        self.alone(own, &stream.into())?;
        self.bytes(format!("startxref\n{start}\n%%EOF\n").as_bytes())?;
        Ok(self.length())
    }

    fn close_group(&mut self) -> Result<(), Fault> {
        if self.group.is_empty() {
            return Ok(());
        }
        let own = self.reserve();
        let mut group = std::mem::take(&mut self.group);
        group.sort_by_key(|(id, _)| *id);
        let packed = ObjectStream::builder()
            .max_objects(GROUP)
            .compression_level(9);
        let mut packed = packed.build();
        for (index, (id, object)) in (0..).zip(group) {
            self.note(id, Place::In(own.0, index));
            packed.add_object(id, object)?;
        }
        let packed = packed.to_stream_object()?;
        self.alone(own, &packed.into())
    }

    /// Writes an object by itself.
    fn alone(&mut self, id: ObjectId, object: &Object) -> Result<(), Fault> {
        self.note(id, Place::At(self.at));
        let mut bytes = format!("{} 0 obj\n", id.0).into_bytes();
        lopdf::Writer::write_object(&mut bytes, object)?;
        bytes.extend(b"\nendobj\n");
        self.bytes(&bytes)
    }

    fn note(&mut self, id: ObjectId, place: Place) {
        let at = usize::try_from(id.0).unwrap_or(usize::MAX);
        let slot = at.checked_sub(1).and_then(|at| self.places.get_mut(at));
        if let Some(slot) = slot {
            *slot = place;
        }
    }

    fn bytes(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        self.sum.update(bytes);
        self.at += u64::try_from(bytes.len()).unwrap_or_default();
        Ok((self.out)(bytes)?)
    }
}
