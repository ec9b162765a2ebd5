//! Drawings → what a page may print of them. A drawing stands in the page itself, where its parts can be tapped, so whatever could act,
//! load or clash with the page is refused: only shapes and words are let in.

use super::is_id;
use crate::model::{Binding, Drawing, Inline, Piece, When};
use crate::theme::Theme;
use roxmltree::{Document, Node, NodeType};
use std::ops::Range;

const SVG: &str = "http://www.w3.org/2000/svg";

/// Elements of SVG 2 that draw or say something and nothing else.
const ELEMENTS: [&str; 13] = [
    "svg", "g", "title", "desc", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan",
];

/// Every drawing of the theme, sorted by name.
pub fn drawings(theme: &Theme) -> Vec<Drawing> {
    theme
        .drawings()
        .map(|(name, bytes)| Drawing {
            name: name.to_owned(),
            content: std::str::from_utf8(bytes)
                .map_err(|_| "it is not UTF-8".to_owned())
                .and_then(inline),
        })
        .collect()
}

/// Reads the text of a drawing.
fn inline(text: &str) -> Result<Inline, String> {
    let document = Document::parse(text).map_err(|error| format!("it is not well formed: {error}"))?;
    let root = document.root_element();
    if !root.has_tag_name((SVG, "svg")) || root.attribute("viewBox").is_none() || root.attribute("role") != Some("img")
    {
        return Err(format!(
            "it must begin <svg xmlns=\"{SVG}\" viewBox=\"…\" role=\"img\">"
        ));
    }
    for name in ["title", "desc"] {
        let says = root.children().find(|child| child.has_tag_name((SVG, name)));
        if says.is_none_or(|says| says.text().unwrap_or_default().trim().is_empty()) {
            return Err(format!(
                "it has no <{name}>, so whoever cannot see it is told nothing: its title names it, its desc says what is where"
            ));
        }
    }
    let mut parts: Vec<String> = Vec::new();
    let mut bindings = Vec::new();
    let start = root.range().start;
    let from_root = |range: Range<usize>| range.start - start..range.end - start;
    let mut pieces = boxes(&root, text)?;
    for piece in &mut pieces {
        (piece.all, piece.sign) = (from_root(piece.all.clone()), from_root(piece.sign.clone()));
    }
    for node in document.descendants() {
        refuse(&node)?;
        let mut piece = |sign: &str, when: When| {
            if let Some(sign) = node.attribute_node(sign) {
                pieces.push(Piece {
                    all: from_root(node.range()),
                    sign: from_root(with_space(text, sign.range())),
                    when,
                });
            }
        };
        piece("data-names", When::Named);
        if let Some(part) = node.attribute("data-part") {
            if !is_id(part) {
                return Err(format!(
                    "`data-part=\"{part}\"` cannot be an id: use lower-case letters, digits and single hyphens"
                ));
            }
            if parts.iter().any(|known| known == part) {
                return Err(format!("two of its parts are called `{part}`"));
            }
            parts.push(part.to_owned());
        }
        if let Some(when) = node.attribute("data-when") {
            if node.attribute("data-names").is_some() {
                return Err(
                    "an element has both `data-when` and `data-names`: put one of them on a `<g>` around it".to_owned(),
                );
            }
            let binding = Binding::read(when).ok_or_else(|| {
                format!("`data-when=\"{when}\"` cannot be read: write it like `sweep: up, guard; table: low`")
            })?;
            piece("data-when", When::Bound(binding.clone()));
            bindings.push(binding);
        }
    }
    let mut inline = Inline {
        svg: String::new(),
        parts,
        bindings,
        written: text[root.range()].to_owned(),
        pieces,
    };
    // Lines between elements are for whoever draws; a page can do without them.
    inline.svg = inline.unnamed().replace(">\n<", "><");
    Ok(inline)
}

/// A drawing that names its things may need more room for them: then one of two boxes goes, the second under the first one's name.
fn boxes(root: &Node, text: &str) -> Result<Vec<Piece>, String> {
    let (Some(plain), Some(wide)) = (root.attribute_node("viewBox"), root.attribute_node("data-names-box")) else {
        return Ok(Vec::new());
    };
    let (plain, wide) = (plain.range(), wide.range());
    if text
        .get(plain.end..wide.start)
        .is_none_or(|between| !between.trim().is_empty())
    {
        return Err("`data-names-box` must stand behind `viewBox`, with nothing between them".to_owned());
    }
    let value = |range: &Range<usize>| {
        text[range.clone()]
            .find('"')
            .map_or(range.end, |quote| range.start + quote)
    };
    let (plain_value, wide_value) = (value(&plain), value(&wide));
    Ok(vec![Piece {
        // From one value to the other, so that the first one's name stays with the second one's value.
        all: plain_value..wide_value,
        sign: plain.end..wide.end,
        when: When::Unnamed,
    }])
}

/// An attribute and the space before it.
fn with_space(text: &str, range: Range<usize>) -> Range<usize> {
    text[..range.start].trim_end().len()..range.end
}

fn refuse(node: &Node) -> Result<(), String> {
    let name = node.tag_name().name();
    match node.node_type() {
        NodeType::PI => return Err("it holds a processing instruction; the page can do without".to_owned()),
        NodeType::Element if node.tag_name().namespace() != Some(SVG) || !ELEMENTS.contains(&name) => {
            return Err(format!(
                "it holds <{name}>; only shapes and words may stand in it ({})",
                ELEMENTS.join(", ")
            ));
        }
        _ => {}
    }
    for attribute in node.attributes() {
        let name = attribute.name();
        let acts = name.starts_with("on") || ["style", "id", "href", "tabindex"].contains(&name);
        if acts || attribute.namespace().is_some() || attribute.value().contains("url(") {
            return Err(format!(
                "it holds `{name}=\"{}\"`; scripts, styles, links and ids may not stand in it: use classes of the theme, or fill and stroke",
                attribute.value()
            ));
        }
    }
    Ok(())
}
