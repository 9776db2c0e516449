use super::*;

const FLOOR: f64 = 0.35;

/// Minutes of it, second by second. Gives how often a rest was taken.
fn minutes(candle: &mut Candle, minutes: f64, activity: Activity) -> usize {
    (0..(minutes * MINUTE_S) as usize).filter(|_| candle.advance(1.0, activity)).count()
}

#[test]
fn it_dims_over_the_last_tenth_and_no_further_than_the_floor() {
    let mut candle = Candle::new(1000.0);
    assert_eq!(candle.brightness_share(FLOOR), 1.0);
    candle.burn(900.0);
    assert_eq!((candle.left_s(), candle.brightness_share(FLOOR)), (100.0, 1.0));
    candle.burn(50.0);
    assert!((candle.brightness_share(FLOOR) - f64::midpoint(1.0, FLOOR)).abs() < 1e-12);
    candle.burn(5000.0);
    assert_eq!((candle.left_s(), candle.brightness_share(FLOOR)), (0.0, FLOOR));
}

#[test]
fn what_a_person_may_choose_is_what_the_guide_says() {
    let minutes = |limits: [f64; 2]| limits.map(|s| s / MINUTE_S);
    assert_eq!([minutes(BUDGETS_S), minutes(REST_EVERY_LIMITS_S)], [[15.0, 480.0], [20.0, 60.0]]);
    assert_eq!(minutes(REST_FOR_LIMITS_S), [5.0, 30.0]);
    assert_eq!([BUDGET_S, REST_EVERY_S, REST_FOR_S].map(|s| s / MINUTE_S), [120.0, 45.0, 12.0]);
}

#[test]
fn times_that_nobody_can_choose_become_what_is_nearest() {
    let all =
        |seconds: f64| Times { budget_s: seconds, rest_every_s: seconds, rest_for_s: seconds }.offered();
    let least = Times { budget_s: 900.0, rest_every_s: 1200.0, rest_for_s: 300.0 };
    let most = Times { budget_s: 28800.0, rest_every_s: 3600.0, rest_for_s: 1800.0 };
    assert_eq!([all(-1.0), all(0.0), all(f64::INFINITY)], [least, least, most]);
    assert_eq!([all(f64::NAN), Times::default().offered()], [Times::default(); 2]);
    assert_eq!(all(1500.0), Times { budget_s: 1500.0, rest_every_s: 1500.0, rest_for_s: 1500.0 });
}

#[test]
fn time_does_not_run_backwards() {
    let mut candle = Candle::new(1000.0);
    candle.burn(-5.0);
    candle.burn(f64::NAN);
    assert_eq!(candle.left_s(), 1000.0);
}

#[test]
fn the_first_sound_lights_it_and_a_hand_alone_does_not() {
    let mut candle = Candle::default();
    minutes(&mut candle, 10.0, Activity::Work);
    assert_eq!((candle.flame(), candle.burnt_s(), candle.kept()), (Flame::Unlit, 0.0, None));
    candle.advance(1.0, Activity::Sound);
    minutes(&mut candle, 2.0, Activity::Work);
    assert_eq!((candle.flame(), candle.burnt_s()), (Flame::Burning, 121.0));
}

#[test]
fn after_five_quiet_minutes_it_stops_and_goes_on_with_the_sound() {
    let mut candle = Candle::default();
    candle.burn(600.0);
    minutes(&mut candle, 4.9, Activity::Quiet);
    assert_eq!(candle.flame(), Flame::Burning);
    minutes(&mut candle, 4.0, Activity::Quiet);
    assert_eq!((candle.flame(), candle.burnt_s()), (Flame::Out, 900.0));
    candle.advance(1.0, Activity::Sound);
    assert_eq!((candle.flame(), candle.burnt_s(), candle.worked_s()), (Flame::Burning, 901.0, 901.0));
}

#[test]
fn a_rest_falls_due_dims_slowly_and_is_put_off_twice_at_most() {
    let mut candle = Candle::default();
    assert!(!candle.put_rest_off(), "none is due");
    minutes(&mut candle, 45.0, Activity::Sound);
    assert_eq!((candle.rest(), candle.brightness_share(FLOOR)), (Rest::Due(0.0), 1.0));
    minutes(&mut candle, 5.0, Activity::Sound);
    assert!((candle.brightness_share(FLOOR) - f64::midpoint(1.0, FLOOR)).abs() < 1e-9);
    for _ in 0..PUT_OFF_MOST {
        assert!(candle.put_rest_off());
        assert_eq!(candle.brightness_share(FLOOR), 1.0);
        minutes(&mut candle, 10.0, Activity::Sound);
        assert!(matches!(candle.rest(), Rest::Due(_)));
    }
    assert!(!candle.may_put_rest_off() && !candle.put_rest_off());
    minutes(&mut candle, 15.0, Activity::Sound);
    assert_eq!(candle.brightness_share(FLOOR), FLOOR);
}

#[test]
fn a_rest_that_is_taken_lights_it_again() {
    let mut candle = Candle::default();
    minutes(&mut candle, 50.0, Activity::Sound);
    candle.rest_now();
    assert_eq!((candle.rest(), candle.flame()), (Rest::Resting(REST_FOR_S), Flame::Out));
    assert_eq!(candle.brightness_share(FLOOR), FLOOR);
    // Looking, and a slip of the hand, break no rest.
    assert_eq!(minutes(&mut candle, 3.0, Activity::Work), 0);
    candle.advance(2.0, Activity::Sound);
    assert_eq!(candle.rest(), Rest::Resting(REST_FOR_S - 182.0));
    assert_eq!(minutes(&mut candle, 9.0, Activity::Quiet), 1);
    assert_eq!((candle.rest(), candle.brightness_share(FLOOR)), (Rest::In(REST_EVERY_S), 1.0));
    assert_eq!(candle.burnt_s(), 50.0 * MINUTE_S, "a rest burns nothing");
}

#[test]
fn a_rest_that_sound_breaks_is_none() {
    let mut candle = Candle::default();
    minutes(&mut candle, 45.0, Activity::Sound);
    candle.rest_now();
    minutes(&mut candle, 11.0, Activity::Quiet);
    minutes(&mut candle, 1.0, Activity::Sound);
    assert!(matches!(candle.rest(), Rest::Due(_)), "{:?}", candle.rest());
    // Slips are put together, as they come in tenths of a second.
    candle.rest_now();
    let slip = |candle: &mut Candle, tenths: usize| {
        for _ in 0..tenths {
            candle.advance(0.1, Activity::Sound);
        }
        minutes(candle, 1.0, Activity::Quiet);
    };
    slip(&mut candle, 50);
    slip(&mut candle, 48);
    assert!(matches!(candle.rest(), Rest::Resting(_)), "{:?}", candle.rest());
    slip(&mut candle, 5);
    assert!(matches!(candle.rest(), Rest::Due(_)), "{:?}", candle.rest());
}

#[test]
fn quiet_that_is_long_enough_is_a_rest_and_is_one_only_once() {
    let mut candle = Candle::default();
    minutes(&mut candle, 30.0, Activity::Sound);
    assert_eq!(minutes(&mut candle, 60.0, Activity::Quiet), 1);
    assert_eq!((candle.worked_s(), candle.rest()), (0.0, Rest::In(REST_EVERY_S)));
    // A machine that slept tells of it in one piece.
    minutes(&mut candle, 1.0, Activity::Sound);
    assert!(candle.advance(8.0 * HOUR_S, Activity::Quiet));
    assert_eq!(candle.burnt_s(), 30.0 * MINUTE_S + QUIET_S + MINUTE_S + QUIET_S);
}

#[test]
fn it_is_taken_up_where_it_was_left_and_time_away_is_rest() {
    let mut candle = Candle::default();
    minutes(&mut candle, 40.0, Activity::Sound);
    let kept = candle.kept().unwrap();
    let opened = |away_s: f64| {
        let mut candle = Candle::default();
        candle.take_up(kept, away_s);
        candle
    };
    assert_eq!(opened(60.0).rest(), Rest::In(5.0 * MINUTE_S));
    assert_eq!(opened(20.0 * MINUTE_S).rest(), Rest::In(REST_EVERY_S));
    for candle in [opened(-1e9), opened(f64::NAN), opened(60.0)] {
        assert_eq!((candle.burnt_s(), candle.worked_s()), (40.0 * MINUTE_S, 40.0 * MINUTE_S));
        assert_eq!(candle.flame(), Flame::Out, "until something sounds");
    }
    let mut spoilt = Candle::default();
    spoilt.take_up(Kept { burnt_s: f64::NAN, worked_s: -3.0, put_off: 200 }, 0.0);
    assert_eq!((spoilt.burnt_s(), spoilt.worked_s(), spoilt.put_off), (0.0, 0.0, PUT_OFF_MOST));
}

#[test]
fn notches_stand_at_the_rests() {
    let shares: Vec<f64> = Candle::default().notches().collect();
    assert_eq!(shares, [1.0 - 0.375, 1.0 - 0.75]);
    let hour = Candle::of(Times { budget_s: 45.0 * MINUTE_S, ..Times::default() });
    assert_eq!(hour.notches().count(), 0, "the end is no rest");
}

/// A week of evenings, in rounds of a tenth of a second as the clerk counts them: two songs' time and the rests come out
/// as they were spent.
#[test]
fn a_week_of_evenings_adds_up() {
    let mut candle = Candle::of(Times { budget_s: 8.0 * HOUR_S, ..Times::default() });
    let mut rests = 0;
    let rounds = |candle: &mut Candle, minutes: f64, activity| {
        (0..(minutes * 600.0) as usize).filter(|_| candle.advance(0.1, activity)).count()
    };
    for _ in 0..7 {
        for _ in 0..2 {
            // Plays, edits, plays.
            rests += rounds(&mut candle, 20.0, Activity::Sound);
            rests += rounds(&mut candle, 4.0, Activity::Quiet);
            rests += rounds(&mut candle, 6.0, Activity::Work);
            rests += rounds(&mut candle, 15.0, Activity::Sound);
            assert!(
                matches!(candle.rest(), Rest::Due(_))
                    || matches!(candle.rest(), Rest::In(left) if left < 1.0)
            );
            candle.rest_now();
            rests += rounds(&mut candle, 12.0, Activity::Quiet);
        }
        // Overnight, with the window open.
        rests += rounds(&mut candle, 10.0, Activity::Quiet);
    }
    assert_eq!(rests, 14);
    // 45 minutes twice an evening: rests and nights burn nothing.
    let expected_s = 7.0 * 90.0 * MINUTE_S;
    assert!((candle.burnt_s() - expected_s).abs() < 5.0, "{} of {expected_s}", candle.burnt_s());
}

#[test]
fn it_looks_the_same_for_a_minute() {
    let mut candle = Candle::default();
    candle.burn(30.0);
    let before = candle;
    candle.burn(20.0);
    assert!(candle.looks_like(&before) && candle != before);
    candle.burn(20.0);
    assert!(!candle.looks_like(&before), "a minute less");
    candle.rest_now();
    let resting = candle;
    candle.advance(1.0, Activity::Quiet);
    assert!(!resting.looks_like(&before));
    assert_eq!(
        candle.looks_like(&resting),
        (REST_FOR_S / MINUTE_S).ceil() == ((REST_FOR_S - 1.0) / MINUTE_S).ceil()
    );
}
