//! A page of another site, in the same browser: it may show a picture of ours and read nothing.

use std::{
    io::{BufRead, BufReader, Write},
    net::{SocketAddr, TcpListener},
};

use crate::{
    browser::Browser,
    season::{bag, visits},
    support::Running,
};

/// Another site: one page, whatever is asked for.
fn elsewhere() -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let mut stream = stream.unwrap();
            let head = BufReader::new(stream.try_clone().unwrap()).lines();
            head.map_while(Result::ok).take_while(|line| !line.is_empty()).for_each(drop);
            let page = "<!DOCTYPE html><title>Elsewhere</title>";
            drop(write!(
                stream,
                "HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{page}",
                page.len()
            ));
        }
    });
    address
}

#[test]
fn a_foreign_page_shows_a_picture_and_reads_nothing() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..2);
    browser.visit(&format!("http://{}/", elsewhere()));
    let ours = format!("http://{}", service.address);
    let picture = format!("{ours}/v1/players/rowan/ladder.svg");
    let shown = browser.run_to_end(&format!(
        "const image = new Image(); image.onload = () => done(image.naturalWidth > 0); \
         image.onerror = () => done(false); image.src = '{picture}';"
    ));
    assert_eq!(shown, true, "the picture is not shown");
    let pixels = browser.run_to_end(&format!(
        "const image = new Image(); image.onload = () => {{ const canvas = document.createElement('canvas'); \
         const pen = canvas.getContext('2d'); pen.drawImage(image, 0, 0); \
         try {{ pen.getImageData(0, 0, 1, 1); done('read'); }} catch (error) {{ done(error.name); }} }}; \
         image.src = '{picture}';"
    ));
    assert_eq!(pixels, "SecurityError");
    for path in ["/v1/players/rowan/ladder.svg", "/v1/players", "/v1/players/rowan/ladder"] {
        let read = browser.run_to_end(&format!(
            "fetch('{ours}{path}').then(() => done('read'), (error) => done(error.name))"
        ));
        assert_eq!(read, "TypeError", "{path}");
    }
    let written = browser.run_to_end(&format!(
        "fetch('{ours}/v1/shots', {{ method: 'POST', mode: 'no-cors', body: JSON.stringify({{ id: 'x', source: 'x', \
         time: '2026-04-11T10:15:00Z', flight: {{ carry_m: 158 }} }}) }}).then((answer) => done(answer.type))"
    ));
    assert_eq!(written, "opaque");
    let shots = service.get("/v1/shots?limit=1000").json()["items"].as_array().unwrap().len();
    assert_eq!(shots, 80, "nothing was written");
    let followed = browser.run_to_end(&format!(
        "const stream = new EventSource('{ours}/v1/live'); stream.onopen = () => done('read'); \
         stream.onerror = () => done(stream.readyState === EventSource.CLOSED ? 'closed' : 'again');"
    ));
    assert_eq!(followed, "closed");
    // That a frame shows what may be framed is seen at a third site.
    let third = format!("http://{}/", elsewhere());
    assert_eq!(browser.framed(&third), third);
    for path in ["/", "/docs", "/v1/players/rowan/ladder.svg"] {
        let there = browser.framed(&format!("{ours}{path}"));
        assert!(!there.starts_with(&ours), "{path} is framed");
    }
}
