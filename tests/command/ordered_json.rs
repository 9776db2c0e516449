//! JSON with the order of its keys, and the shapes that it is held to.

use std::collections::BTreeSet;
use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

/// A value of JSON, as it was written.
#[derive(Debug)]
pub(crate) enum Json {
    Null,
    Truth,
    Number { whole: bool },
    Text,
    List(Vec<Json>),
    Object(Vec<(String, Json)>),
}

/// What a value must be.
pub(crate) enum Shape {
    Truth,
    Number,
    Whole,
    Text,
    /// Whatever it is.
    Any,
    OrNull(&'static Shape),
    ListOf(&'static Shape),
    /// Exactly these keys, in this order.
    Object(&'static [(&'static str, Shape)]),
}

impl Json {
    /// Fails where the value has another shape.
    #[track_caller]
    pub(crate) fn hold(&self, shape: &Shape, place: &str) {
        match (shape, self) {
            (Shape::Any, _)
            | (Shape::OrNull(_), Self::Null)
            | (Shape::Truth, Self::Truth)
            | (Shape::Text, Self::Text)
            | (Shape::Number, Self::Number { .. })
            | (Shape::Whole, Self::Number { whole: true }) => {}
            (Shape::OrNull(inner), value) => value.hold(inner, place),
            (Shape::ListOf(inner), Self::List(values)) => {
                for value in values {
                    value.hold(inner, &format!("{place}[]"));
                }
            }
            (Shape::Object(wanted), Self::Object(found)) => {
                let wanted_keys: Vec<&str> = wanted.iter().map(|(key, _)| *key).collect();
                let found_keys: Vec<&str> = found.iter().map(|(key, _)| key.as_str()).collect();
                assert_eq!(found_keys, wanted_keys, "the keys of {place}, in order");
                for ((key, shape), (_, value)) in wanted.iter().zip(found) {
                    value.hold(shape, &format!("{place}.{key}"));
                }
            }
            (_, value) => panic!("{place} is {value:?}"),
        }
    }

    /// Where nulls are, below here: keys joined by full stops, all items of a list as one.
    pub(crate) fn nulls(&self) -> BTreeSet<String> {
        let mut nulls = BTreeSet::new();
        self.gather_nulls("", &mut nulls);
        nulls
    }

    fn gather_nulls(&self, place: &str, nulls: &mut BTreeSet<String>) {
        match self {
            Self::Null => {
                nulls.insert(place.to_owned());
            }
            Self::List(values) => values.iter().for_each(|value| value.gather_nulls(place, nulls)),
            Self::Object(pairs) => {
                for (key, value) in pairs {
                    let place = if place.is_empty() { key.clone() } else { format!("{place}.{key}") };
                    value.gather_nulls(&place, nulls);
                }
            }
            _ => {}
        }
    }

    /// The value of a key.
    #[track_caller]
    pub(crate) fn at(&self, wanted: &str) -> &Self {
        let Self::Object(pairs) = self else { panic!("{self:?} has no keys") };
        let found = pairs.iter().find(|(key, _)| key == wanted);
        found.map_or_else(|| panic!("there is no {wanted}"), |(_, value)| value)
    }

    /// The items of a list.
    #[track_caller]
    pub(crate) fn items(&self) -> &[Self] {
        let Self::List(values) = self else { panic!("{self:?} is no list") };
        values
    }
}

impl<'de> Deserialize<'de> for Json {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(AsWritten)
    }
}

struct AsWritten;

impl<'de> Visitor<'de> for AsWritten {
    type Value = Json;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E>(self) -> Result<Json, E> {
        Ok(Json::Null)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Json, E> {
        Ok(Json::Truth)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Json, E> {
        Ok(Json::Number { whole: true })
    }

    fn visit_u64<E>(self, _: u64) -> Result<Json, E> {
        Ok(Json::Number { whole: true })
    }

    fn visit_f64<E>(self, _: f64) -> Result<Json, E> {
        Ok(Json::Number { whole: false })
    }

    fn visit_str<E>(self, _: &str) -> Result<Json, E> {
        Ok(Json::Text)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Json, A::Error> {
        let mut values = Vec::new();
        while let Some(value) = list.next_element()? {
            values.push(value);
        }
        Ok(Json::List(values))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Json, A::Error> {
        let mut pairs = Vec::new();
        while let Some(pair) = map.next_entry()? {
            pairs.push(pair);
        }
        Ok(Json::Object(pairs))
    }
}
