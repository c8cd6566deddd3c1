//! Builds the page with npm and esbuild into `OUT_DIR`, packs every file and writes the table of them.
//!
//! `WINDRODE_PAGE=DIR` names a folder with a page that is built already: for machines without node.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

use flate2::Crc;
use flate2::write::GzEncoder;

type Outcome<T> = Result<T, Box<dyn Error>>;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            println!("cargo::error=the page cannot be built: {error}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Outcome<()> {
    let web = Path::new(&std::env::var("CARGO_MANIFEST_DIR")?).join("../../web");
    for path in ["src", "worker", "public", "index.html", "build.mjs", "package.json", "package-lock.json"] {
        println!("cargo::rerun-if-changed={}", web.join(path).display());
    }
    println!("cargo::rerun-if-env-changed=WINDRODE_PAGE");
    let out = PathBuf::from(std::env::var("OUT_DIR")?);
    let built = match std::env::var_os("WINDRODE_PAGE") {
        Some(directory) => PathBuf::from(directory),
        None => build(&web, &out.join("page"))?,
    };
    let table = table(&built, &out)?;
    fs::write(out.join("files.rs"), table)?;
    Ok(())
}

fn build(web: &Path, into: &Path) -> Outcome<PathBuf> {
    install(web)?;
    ran(Command::new("node").arg("build.mjs").arg(into).current_dir(web), "node build.mjs")?;
    Ok(into.to_owned())
}

/// Installs what the lock file names, when it has changed since it was last installed.
fn install(web: &Path) -> Outcome<()> {
    let changed = |path: &str| fs::metadata(web.join(path)).and_then(|it| it.modified()).ok();
    let installed = changed("node_modules/.package-lock.json");
    if installed.is_some() && changed("package-lock.json") <= installed {
        return Ok(());
    }
    ran(Command::new("npm").args(["ci", "--ignore-scripts"]).current_dir(web), "npm ci")
}

fn ran(command: &mut Command, name: &str) -> Outcome<()> {
    let help = "it needs Node 20 and npm; install them, or set WINDRODE_PAGE to the folder of a built page";
    let output = command.output().map_err(|error| format!("{name} cannot be run ({error}): {help}"))?;
    if output.status.success() {
        return Ok(());
    }
    let said = [output.stdout, output.stderr].concat();
    Err(format!("{name} failed: {}", String::from_utf8_lossy(&said).replace('\n', " | ")).into())
}

fn table(built: &Path, out: &Path) -> Outcome<String> {
    let mut names = Vec::new();
    for entry in fs::read_dir(built)? {
        names
            .push(entry?.file_name().into_string().map_err(|name| format!("{} is no name", name.display()))?);
    }
    names.sort();
    if !names.iter().any(|name| name == "index.html") {
        return Err(format!("{} holds no index.html", built.display()).into());
    }
    let mut table = String::from(
        "/// Every file of the page, in order of their names.\npub static FILES: &[File] = &[\n",
    );
    for name in &names {
        let bytes = fs::read(built.join(name))?;
        let packed = out.join(format!("{name}.gz"));
        // No time and no name stand in the header: the same page gives the same bytes.
        let mut encoder = GzEncoder::new(Vec::new(), flate2::Compression::best());
        encoder.write_all(&bytes)?;
        fs::write(&packed, encoder.finish()?)?;
        let mut sum = Crc::new();
        sum.update(&bytes);
        writeln!(
            table,
            "    File {{ path: {name:?}, mime: {:?}, etag: {:?}, gz: include_bytes!({:?}), immutable: {} }},",
            mime(name)?,
            format!("\"{:08x}-{:x}\"", sum.sum(), bytes.len()),
            packed.display().to_string(),
            is_hashed(name),
        )?;
    }
    table.push_str("];\n");
    Ok(table)
}

fn mime(name: &str) -> Outcome<&'static str> {
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    Ok(match ending {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "webmanifest" => "application/manifest+json",
        "wav" => "audio/wav",
        "mp4" => "video/mp4",
        _ => return Err(format!("{name} is of no kind that the page has").into()),
    })
}

/// Whether a name holds the hash that esbuild gave it: eight letters and figures of base 32.
fn is_hashed(name: &str) -> bool {
    let stem = name.split_once('.').map_or(name, |(stem, _)| stem);
    let hash = stem.rsplit_once('-').map_or("", |(_, hash)| hash);
    hash.len() == 8 && hash.bytes().all(|it| it.is_ascii_uppercase() || it.is_ascii_digit())
}
