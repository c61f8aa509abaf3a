//! Reads Server-Sent Events (HTML Standard, 9.2.6) whose data is one JSON text.

use serde_json::Value;

/// An event.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Event {
    pub(super) kind: String,
    /// Its place in the order; none where it has none.
    pub(super) id: Option<u64>,
    pub(super) data: Value,
}

/// Cuts a stream of bytes into events.
#[derive(Debug, Default)]
pub(super) struct Events {
    waiting: Vec<u8>,
    place: Option<u64>,
}

impl Events {
    /// Takes the next bytes, and gives the events that are whole by now. Comments are passed over.
    pub(super) fn feed(&mut self, bytes: &[u8]) -> Vec<Event> {
        self.waiting.extend_from_slice(bytes);
        let mut events = Vec::new();
        let mut begin = 0;
        while let Some(length) = memchr::memmem::find(&self.waiting[begin..], b"\n\n") {
            let block = String::from_utf8_lossy(&self.waiting[begin..begin + length]);
            let event = event(&block, &mut self.place);
            events.extend(event);
            begin += length + 2;
        }
        self.waiting.drain(..begin);
        events
    }

    /// The id of the last event that had one, of all that are whole by now.
    pub(super) fn place(&self) -> Option<u64> {
        self.place
    }
}

fn event(block: &str, place: &mut Option<u64>) -> Option<Event> {
    let field = |name: &str| {
        let values = block.lines().filter_map(|line| line.split_once(':'));
        values.into_iter().find(|(known, _)| *known == name).map(|(_, value)| value.trim_start())
    };
    let id = field("id").and_then(|id| id.parse().ok());
    *place = id.or(*place);
    let data = serde_json::from_str(field("data")?).ok()?;
    Some(Event { kind: field("event").unwrap_or("message").to_owned(), id, data })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn events_are_whole_wherever_the_stream_is_cut() {
        let text = ":\nretry: 2000\n\nevent: shot\nid: 7\ndata: {\"a\":\"é\"}\n\n:\n\nevent: drift\ndata: {}\n\n";
        let shot = Event { kind: "shot".into(), id: Some(7), data: json!({"a": "é"}) };
        let drift = Event { kind: "drift".into(), id: None, data: json!({}) };
        for cut in 0..text.len() {
            let mut events = Events::default();
            let mut told = events.feed(&text.as_bytes()[..cut]);
            told.extend(events.feed(&text.as_bytes()[cut..]));
            assert_eq!(told, [shot.clone(), drift.clone()], "cut at {cut}");
            assert_eq!(events.place(), Some(7), "cut at {cut}");
        }
    }
}
