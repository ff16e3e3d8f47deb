//! Writes single pictures of an invented play, to look at: `still OUT.png SCENE VIEW PLAY TIME_S`.

use anyhow::{Context, Result, bail};
use camera::Pinhole;
use scrimmage::render::{self, Look, Snow, Venue, ViewSetup};
use scrimmage::sim::{game::GameScript, staged::StagedPlay, teams};
use scrimmage::stage::Stage;
use units::Rate;

fn look(scene: &str) -> Result<Look> {
    Ok(match scene {
        "day" => Look::college_day(7),
        "night" => Look::college_night(7),
        "worn" => Look { score_bug: true, ..Look::professional_worn(7) },
        "school" => Look::school(7),
        "snow" => Look { snow: Some(Snow { cover: 0.6, lines_swept: true }), ..Look::professional_worn(7) },
        other => bail!("no scene {other:?}: day, night, worn, school or snow"),
    })
}

fn main() -> Result<()> {
    let args: Vec<String> = std::env::args().collect();
    let [_, out, scene, view, play, time] = &args[..] else {
        bail!("five arguments: OUT.png SCENE VIEW PLAY TIME_S")
    };
    let game = GameScript::demo(7);
    let script = &game.plays.get(play.parse::<usize>()?).context("no such play")?.script;
    let stage = StagedPlay::new(script, &teams::kits(&teams::home(), &teams::away()));
    let look = look(scene)?;
    let rate = Rate::new(30, 1)?;
    let setup = match view.as_str() {
        "sideline" => ViewSetup::sideline(1280, 720, rate, 3),
        "low-end" => ViewSetup::end_zone(look.rule_book, false, 1280, 720, rate, 3),
        "high-end" => ViewSetup::end_zone(look.rule_book, true, 1280, 720, rate, 3),
        other => bail!("no view {other:?}: sideline, low-end or high-end"),
    };
    let started = std::time::Instant::now();
    let venue = Venue::new(&look);
    eprintln!("venue painted in {:?}", started.elapsed());
    let time = time.parse::<f64>()?;
    let camera: Pinhole = setup.follow(&stage).at(time);
    let e = render::Exposure::following(&setup.follow(&stage), time, setup.shutter_s, 0);
    let mut scratch = render::Scratch::default();
    let frame = render::expose(&venue, &stage, &e, &mut scratch);
    let started = std::time::Instant::now();
    for _ in 0..20 {
        render::expose(&venue, &stage, &e, &mut scratch);
    }
    eprintln!(
        "{:?} a frame, span {:?}, focal {:.0} px",
        started.elapsed() / 20,
        stage.span(),
        camera.aim.focal
    );
    image::save_buffer(
        out,
        &frame.to_rgb(),
        frame.width as u32,
        frame.height as u32,
        image::ColorType::Rgb8,
    )?;
    Ok(())
}
