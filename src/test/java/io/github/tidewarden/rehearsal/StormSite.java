package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.SiteSpec;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.List;
import java.util.SplittableRandom;

/**
 * The field station with short windows, drawn by seed: in a zone with odd rules, at any quarter of
 * an hour, on the nights around a change of the clocks. Short, so that thousands of nights pass.
 */
final class StormSite {
  private static final Path LAB = Path.of("config/harbour-lab.yaml");

  /**
   * A zone and the evening before one of its changes; see REFERENCES, from the IANA tz database.
   */
  private record Change(String zone, String evening) {}

  private static final List<Change> CHANGES =
      List.of(
          new Change("Europe/Lisbon", "2026-03-28"),
          new Change("Europe/Lisbon", "2026-10-24"),
          new Change("Australia/Lord_Howe", "2026-04-04"),
          new Change("Australia/Lord_Howe", "2026-10-03"),
          new Change("America/St_Johns", "2026-03-07"),
          new Change("Asia/Kathmandu", "2026-01-14"),
          new Change("Pacific/Apia", "2026-01-14"));

  private static final int QUARTER = 15;

  /** All windows of a site lie within so many minutes. */
  private static final int SPAN = 105;

  private StormSite() {}

  /** What is asked of a rehearsal by this seed. */
  static Rehearsal.Task task(long seed, int nights) {
    SplittableRandom random = new SplittableRandom(seed);
    Change change = CHANGES.get(random.nextInt(CHANGES.size()));
    SiteSpec site = site(change.zone(), random);
    return new Rehearsal.Task(
        site,
        site,
        TankModel::typical,
        LocalDate.parse(change.evening()),
        nights,
        seed,
        Duration.ofSeconds(10),
        Duration.ofMinutes(10),
        true);
  }

  private static SiteSpec site(String zone, SplittableRandom random) {
    int first = random.nextInt((24 * 60 - SPAN - 180) / QUARTER);
    return site(
        zone, window(first, random, 45), window(first, random, 105), window(first, random, 60));
  }

  /**
   * The field station in this zone, with a probe that counts its messages, a level that has a clock
   * of its own, and a contact at the waste.
   *
   * @param ozone the window of the lagoon's ozone
   * @param lagoon the window of its exchange
   * @param reef the window of the other tank's exchange
   */
  static SiteSpec site(String zone, String ozone, String lagoon, String reef) {
    try {
      String text =
          with(
              Files.readString(LAB),
              "zone: Europe/Lisbon",
              "zone: " + zone,
              "topic: lab/lagoon/redox/a, measures: redox",
              "topic: lab/lagoon/redox/a, measures: redox, pointer: /mv, sequence: /n",
              "pointer: /depth,",
              "pointer: /depth, time: /at,",
              "      floor:       { topic: lab/lagoon/floor",
              "      waste:       { topic: lab/lagoon/waste, measures: full, states: { full: \"1\", empty: \"0\" } }\n"
                  + "      floor:       { topic: lab/lagoon/floor",
              "{ from: \"01:30\", to: \"03:00\" }",
              ozone,
              "most-per-night: 60 min",
              "most-per-night: 20 min",
              "per-day: 3 %\n      windows: [ { from: \"13:00\", to: \"22:00\" } ]",
              "per-day: 0.4 %\n      windows: [ " + lagoon + " ]",
              "per-day: 3 %\n      windows: [ { from: \"22:00\", to: \"06:00\" } ]",
              "per-day: 0.9 %\n      windows: [ " + reef + " ]");
      return ConfigReader.read(LAB, text.getBytes(StandardCharsets.UTF_8)).site();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    } catch (ConfigException e) {
      throw new IllegalStateException(e);
    }
  }

  private static String with(String text, String... changes) {
    String changed = text;
    for (int i = 0; i < changes.length; i += 2) {
      if (!changed.contains(changes[i])) {
        throw new IllegalStateException("no " + changes[i]);
      }
      changed = changed.replace(changes[i], changes[i + 1]);
    }
    return changed;
  }

  /** At a quarter of an hour within the span, which leaves the noon alone. */
  private static String window(int first, SplittableRandom random, int minutes) {
    int later = random.nextInt((SPAN - minutes) / QUARTER + 1);
    return window(LocalTime.of(14, 0).plusMinutes((long) QUARTER * (first + later)), minutes);
  }

  static String window(LocalTime from, int minutes) {
    return "{ from: \"" + from + "\", to: \"" + from.plusMinutes(minutes) + "\" }";
  }
}
