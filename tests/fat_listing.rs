//! What `examine --files` lists of a volume is what mtools and sleuthkit list: paths, sizes, times and contents.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::Path;
use std::time::{Duration, SystemTime};

use chrono::{DateTime, Utc};

use crate::support::judges::{all_present, run};
use crate::support::memory::sha256;
use crate::support::program::Desk;

/// A file as listed: its size, when it was changed, and the checksum of its content.
type Listed = (u64, String, String);
type Listing = BTreeMap<String, Listed>;

/// Names that take every turn a name can: short, small letters, mixed, blanks, dots, as long as pieces of a long name and
/// one letter more, letters that a short name may not have, other scripts, a letter beyond 16 bits.
const NAMES: [&str; 18] = [
    "TX0001.CSV",
    "lower.csv",
    "UPPER.csv",
    "Mixed.Csv",
    "NOEXT",
    "a blank between.csv",
    " a blank before.csv",
    "two.dots.inside.csv",
    ".begins with a dot",
    "thirteen1.csv",
    "fourteen12.csv",
    "as long as two pieces1.csv",
    "one letter more than two 1.csv",
    "plus+comma,semicolon;equals=brackets[1].csv",
    "Ärmel und Ösen längs.csv",
    "весы.csv",
    "日本の牛.csv",
    "pen 🐄.csv",
];

/// Seconds from 1 January 1970: the first and the last day of a leap year's February, a year's last moment, odd seconds
/// (FAT keeps even ones), a year beyond 2030. From 2038 on sleuthkit tells no time.
const TIMES: [u64; 5] = [1_706_745_600, 1_709_251_198, 1_735_689_598, 1_741_352_743, 2_145_916_798];

/// Bytes of contents beside whole clusters of 512, 2048 and 4096 bytes.
const SIZES: [usize; 9] = [0, 1, 511, 512, 513, 2048, 4095, 4097, 20_000];

/// Puts a file into the tree to be copied; its size, content and time follow from its number.
fn put(desk: &Desk, number: usize, path: &str) {
    let content: Vec<u8> = (0..SIZES[number % SIZES.len()]).map(|at| (at * 31 + number * 7) as u8).collect();
    let path = desk.put(&format!("tree/{path}"), content);
    let at = SystemTime::UNIX_EPOCH + Duration::from_secs(TIMES[number % TIMES.len()] - 60 * number as u64);
    File::options().write(true).open(path).unwrap().set_modified(at).unwrap();
}

/// The tree: every kind of name, one path of many folders, names whose short ones collide, a folder of several clusters.
fn tree(desk: &Desk) -> usize {
    // mtools adds one cluster to a directory at a time, on FAT32 here room for sixteen pieces of a name.
    let long = format!("{}.csv", "n".repeat(176));
    let names = NAMES.into_iter().map(str::to_owned);
    let deep = (1..=9).map(|depth| format!("{}at {depth}.csv", "Folder/".repeat(depth)));
    let alike = (1..=14).map(|number| format!("ALIKE/Sale of the spring, night {number}.csv"));
    let many = (1..=40).map(|number| format!("Nights of the year/N{number:04}.CSV"));
    let paths: Vec<_> = names.chain([long]).chain(deep).chain(alike).chain(many).collect();
    paths.iter().enumerate().for_each(|(number, path)| put(desk, number, path));
    paths.len()
}

/// mtools, with letters as UTF-8 on its side and this code page in short names.
fn mtools(desk: &Desk, page: &str, more: &[&str], arguments: &[&str]) {
    let config = desk.put("mtools.conf", format!("default_codepage={page}\n"));
    let config = format!("MTOOLSRC={config}");
    run("env", &[&["LC_ALL=C.UTF-8", &config], more, arguments].concat());
}

fn format(desk: &Desk, bits: &str, sector: &str, sectors_per_cluster: &str, kilobytes: &str) -> String {
    let path = desk.named("stick.img");
    run("mkfs.fat", &["-C", "-F", bits, "-S", sector, "-s", sectors_per_cluster, "-n", "SALES", &path, kilobytes]);
    path
}

/// Copies the tree's own entries into the root directory.
fn fill(desk: &Desk, image: &str, page: &str, more: &[&str]) {
    let entries: Vec<_> = desk.names("tree").into_iter().map(|name| desk.named(&format!("tree/{name}"))).collect();
    let entries: Vec<_> = entries.iter().map(String::as_str).collect();
    mtools(desk, page, more, &[&["mcopy", "-s", "-m", "-n", "-i", image], &entries[..], &["::/"]].concat());
}

fn hex(bytes: &[u8]) -> String {
    sha256(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

fn ours(desk: &Desk) -> Listing {
    let (document, _) = desk.json(&["examine", "stick.img", "--files"]);
    let files = document["sources"][0]["stick"]["volumes"][0]["files"].as_array().unwrap();
    let text = |value: &serde_json::Value| value.as_str().unwrap().to_owned();
    let listing: Listing = files
        .iter()
        .inspect(|file| assert_eq!((&file["state"], &file["whole"]), (&"live".into(), &true.into())))
        .map(|file| {
            let listed = (file["size_bytes"].as_u64().unwrap(), text(&file["modified"]), text(&file["sha256"]));
            (text(&file["path"]), listed)
        })
        .collect();
    assert_eq!(listing.len(), files.len(), "no path is listed twice");
    listing
}

/// What mtools copies out, with times kept.
fn by_mtools(desk: &Desk, image: &str, page: &str) -> Listing {
    let out = desk.named("out");
    fs::create_dir(&out).unwrap();
    mtools(desk, page, &[], &["mcopy", "-s", "-m", "-n", "-i", image, "::/", &out]);
    let mut listing = Listing::new();
    add_folder(Path::new(&out), "", &mut listing);
    listing
}

fn add_folder(folder: &Path, above: &str, listing: &mut Listing) {
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let path = format!("{above}{}", entry.file_name().into_string().unwrap());
        if entry.path().is_dir() {
            add_folder(&entry.path(), &format!("{path}/"), listing);
            continue;
        }
        let content = fs::read(entry.path()).unwrap();
        let modified = DateTime::<Utc>::from(entry.metadata().unwrap().modified().unwrap());
        let modified = modified.format("%Y-%m-%dT%H:%M:%S").to_string();
        listing.insert(path, (content.len() as u64, modified, hex(&content)));
    }
}

/// What sleuthkit lists, and the contents it copies out; it copies no files of 0 bytes.
fn by_sleuthkit(desk: &Desk, image: &str) -> Listing {
    let copied = desk.path("recovered");
    fs::create_dir(&copied).unwrap();
    run("tsk_recover", &["-a", image, copied.to_str().unwrap()]);
    let listed = run("fls", &["-F", "-u", "-r", "-p", "-l", "-z", "UTC", image]);
    let listed = String::from_utf8(listed).unwrap();
    let lines = listed.lines().filter(|line| line.starts_with("r/r") && !line.contains("(Volume Label Entry)"));
    lines.map(|line| sleuthkit_line(&copied, line)).collect()
}

/// `r/r NUMBER:`, path, changed, accessed, status changed, made, size, owner, group, with tabs between.
fn sleuthkit_line(copied: &Path, line: &str) -> (String, Listed) {
    let fields: Vec<_> = line.split('\t').collect();
    let modified = fields[2].trim_end_matches(" (UTC)").replace(' ', "T");
    let size = fields[6].parse().unwrap();
    let content = if size == 0 { Vec::new() } else { fs::read(copied.join(fields[1])).unwrap() };
    (fields[1].to_owned(), (size, modified, hex(&content)))
}

fn tools() -> bool {
    all_present(&["mkfs.fat", "mcopy", "fls", "tsk_recover"])
}

/// Says what differs, and not two whole listings.
fn assert_same(ours: &Listing, theirs: &Listing, judge: &str) {
    let only = |one: &Listing, other: &Listing| {
        one.iter().filter(|(path, listed)| other.get(*path) != Some(listed)).map(|each| format!("{each:?}")).collect()
    };
    let (here, there): (Vec<_>, Vec<_>) = (only(ours, theirs), only(theirs, ours));
    assert_eq!(here, there, "{judge}");
}

fn assert_listed_alike(bits: &str, sector: &str, sectors_per_cluster: &str, kilobytes: &str) {
    if !tools() {
        return;
    }
    let desk = Desk::new();
    let (ours, image) = assert_as_mtools(&desk, bits, sector, sectors_per_cluster, kilobytes);
    assert_same(&ours, &by_sleuthkit(&desk, &image), "sleuthkit");
}

/// Our listing of the tree on a new volume, which is that of mtools; and the image.
fn assert_as_mtools(desk: &Desk, bits: &str, sector: &str, per_cluster: &str, kilobytes: &str) -> (Listing, String) {
    let count = tree(desk);
    let image = format(desk, bits, sector, per_cluster, kilobytes);
    fill(desk, &image, "850", &[]);
    let ours = ours(desk);
    assert_eq!(ours.len(), count);
    assert_same(&ours, &by_mtools(desk, &image, "850"), "mtools");
    (ours, image)
}

#[test]
fn fat12_is_listed_alike() {
    assert_listed_alike("12", "512", "2", "1440");
}

#[test]
fn fat16_is_listed_alike() {
    assert_listed_alike("16", "512", "4", "16384");
}

#[test]
fn fat32_is_listed_alike() {
    assert_listed_alike("32", "512", "1", "36864");
}

#[test]
fn fat12_of_large_sectors_is_listed_alike() {
    assert_listed_alike("12", "4096", "1", "8192");
}

#[test]
fn fat16_of_large_sectors_is_listed_alike() {
    assert_listed_alike("16", "4096", "1", "32768");
}

/// Over a gigabyte, as FAT32 of large clusters must nearly be: sleuthkit would look through all of it for lost entries.
#[test]
fn fat32_of_large_sectors_is_listed_alike() {
    if tools() {
        assert_as_mtools(&Desk::new(), "32", "4096", "1", "1290240");
    }
}

/// A name of 255 letters, the most there can be; sleuthkit cuts it.
#[test]
fn the_longest_name_is_listed_alike() {
    if !tools() {
        return;
    }
    let desk = Desk::new();
    put(&desk, 4, &format!("{}.csv", "n".repeat(251)));
    let image = format(&desk, "12", "512", "1", "720");
    fill(&desk, &image, "850", &[]);
    let ours = ours(&desk);
    assert_eq!(ours.keys().map(String::len).collect::<Vec<_>>(), [255]);
    assert_same(&ours, &by_mtools(&desk, &image, "850"), "mtools");
}

/// Short names alone, written in each code page that is told apart.
#[test]
fn short_names_of_a_code_page_are_listed_alike() {
    if !tools() {
        return;
    }
    let pages = [
        ("437", ["AÑO.CSV", "ÄRMEL.CSV", "ÅR2025.CSV", "ÉÜÖ.CSV"]),
        ("850", ["AÑO.CSV", "ÁRBOL.CSV", "ØRE.CSV", "ÃÕÊ.CSV"]),
        ("852", ["ŽITO.CSV", "ČERVEN.CSV", "ŠŤAVA.CSV", "ŁĄKA.CSV"]),
    ];
    for (page, names) in pages {
        let desk = Desk::new();
        names.iter().enumerate().for_each(|(number, name)| put(&desk, number, name));
        let image = format(&desk, "12", "512", "1", "720");
        fill(&desk, &image, page, &["MTOOLS_NO_VFAT=1"]);
        let ours = ours(&desk);
        assert_eq!(ours.keys().map(String::as_str).collect::<Vec<_>>(), sorted(names), "{page}");
        assert_same(&ours, &by_mtools(&desk, &image, page), page);
    }
}

fn sorted(mut names: [&'static str; 4]) -> Vec<&'static str> {
    names.sort_unstable();
    names.to_vec()
}
