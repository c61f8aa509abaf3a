//! HTML, put together from texts that are escaped here.

use std::fmt::Write;

/// A text as it may stand in HTML, between tags or in an attribute.
pub(super) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            other => safe.push(other),
        }
    }
    safe
}

/// Sentences: what stands between backticks is code.
pub(super) fn prose(text: &str) -> String {
    let mut html = String::new();
    for (place, part) in text.split('`').enumerate() {
        let part = escaped(part);
        if place % 2 == 1 {
            // Writing to a String does not fail.
            let _ = write!(html, "<code>{part}</code>");
        } else {
            html.push_str(&part);
        }
    }
    html
}

/// Code in a line.
pub(super) fn code(text: &str) -> String {
    format!("<code>{}</code>", escaped(text))
}

/// Code of its own lines.
pub(super) fn block(text: &str) -> String {
    format!("<pre tabindex=\"0\"><code>{}</code></pre>\n", escaped(text))
}

/// A link.
pub(super) fn link(to: &str, html: &str) -> String {
    format!("<a href=\"{}\">{html}</a>", escaped(to))
}

/// A paragraph.
pub(super) fn paragraph(html: &str) -> String {
    format!("<p>{html}</p>\n")
}

/// A paragraph that tells what something is.
pub(super) fn told(term: &str, what: &str) -> String {
    paragraph(&format!("{term}: {what}"))
}

/// An example that is folded up.
pub(super) fn folded(summary: &str, html: &str) -> String {
    format!("<details><summary>{summary}</summary>\n{html}</details>\n")
}

/// A heading that can be linked to.
pub(super) fn heading(level: u8, id: &str, html: &str) -> String {
    format!("<h{level} id=\"{}\">{html}</h{level}>\n", escaped(id))
}

/// A list of what is HTML already.
pub(super) fn list(items: &[String]) -> String {
    format!("<ul>\n<li>{}</li>\n</ul>\n", items.join("</li>\n<li>"))
}

/// A table of cells that are HTML already; the first of each row heads it.
pub(super) fn table(caption: &str, heads: &[&str], rows: &[Vec<String>]) -> String {
    let mut html = format!(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{0}\"><table><caption>{0}</caption><thead><tr>",
        escaped(caption)
    );
    for head in heads {
        let _ = write!(html, "<th scope=\"col\">{}</th>", escaped(head));
    }
    html.push_str("</tr></thead><tbody>\n");
    for row in rows {
        html.push_str("<tr>");
        for (place, cell) in row.iter().enumerate() {
            let _ = match place {
                0 => write!(html, "<th scope=\"row\">{cell}</th>"),
                _ => write!(html, "<td>{cell}</td>"),
            };
        }
        html.push_str("</tr>\n");
    }
    html.push_str("</tbody></table></div>\n");
    html
}

/// What stands in every page's head.
const NAME: &str = "Evencarry";

/// A whole page.
pub(super) fn page(title: &str, body: &str) -> String {
    let named = if title == NAME { String::new() } else { format!(" – {NAME}") };
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{0}{named}</title>\n<link rel=\"stylesheet\" href=\"/docs/style.css\">\n</head>\n\
         <body>\n<a class=\"skip\" href=\"#content\">To the content</a>\n<header><nav aria-label=\"Pages\">\
         <a href=\"/\">The page</a> <a href=\"/docs\">{NAME}</a> <a href=\"/docs/api\">The API</a> \
         <a href=\"/openapi.json\">OpenAPI</a> <a href=\"/schemas/shot-event.json\">Event schema</a>\
         </nav></header>\n<main id=\"content\">\n<h1>{0}</h1>\n{body}</main>\n</body>\n</html>\n",
        escaped(title)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_is_told_becomes_markup() {
        assert_eq!(escaped("<b a='\"'>&"), "&lt;b a=&#39;&quot;&#39;&gt;&amp;");
        assert_eq!(prose("use `a<b` or c"), "use <code>a&lt;b</code> or c");
    }
}
