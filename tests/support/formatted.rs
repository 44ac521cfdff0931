//! Sticks made by the formatting tools of Debian, and what is said of them.

use std::fs::File;

use serde_json::Value;

use super::program::Desk;

pub const MIB: u64 = 1 << 20;

/// A sparse file of zeros.
pub fn blank(desk: &Desk, bytes: u64) -> String {
    let path = desk.named("stick.img");
    File::create(&path).unwrap().set_len(bytes).unwrap();
    path
}

/// The whole document on the stick of this desk, which is the same afterwards as before.
pub fn examined(desk: &Desk) -> Value {
    let (document, exit) = desk.json(&["examine", "stick.img", "--files"]);
    assert_eq!(exit, 1, "without an export something needs a person");
    document
}

pub fn stick(document: &Value) -> &Value {
    &document["sources"][0]["stick"]
}

/// Where each volume lies and what it is: offset, size, format, label, bytes of a cluster.
pub fn volumes(document: &Value) -> Vec<Value> {
    let fields = ["offset_bytes", "size_bytes", "file_system", "label", "cluster_bytes"];
    let volumes = stick(document)["volumes"].as_array().unwrap().iter();
    volumes.map(|volume| fields.iter().map(|field| volume[*field].clone()).collect()).collect()
}

pub fn table(document: &Value) -> &Value {
    &stick(document)["partition_table"]
}

pub fn change(path: &str, edit: impl FnOnce(&mut Vec<u8>)) {
    let mut bytes = std::fs::read(path).unwrap();
    edit(&mut bytes);
    std::fs::write(path, bytes).unwrap();
}
