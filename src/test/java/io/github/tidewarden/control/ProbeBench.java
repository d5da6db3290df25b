package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.dosing.ProbeAge;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/** The lagoon with a keeper who calibrates its probes. */
final class ProbeBench {
  /** As it is configured without a word of {@code without}. */
  static final ProbeAge REQUIRED =
      new ProbeAge(true, Duration.ofDays(60).toNanos(), Duration.ofDays(90).toNanos());

  /** ZoBell's at 25 °C against Ag/AgCl 3 M KCl: 428 - 207 mV, see {@link ProbeCalibrationTest}. */
  static final double ZOBELL = 221;

  final Bench bench;
  private int asked;

  ProbeBench(ProbeAge age, Instant start) {
    this(lagoon(age), start);
  }

  ProbeBench(TankSpec tank, Instant start) {
    bench = new Bench(Specs.site(tank), start);
    bench.connect();
  }

  static TankSpec lagoon(ProbeAge age) {
    TankSpec lagoon = Specs.lagoon();
    return Specs.with(
        Specs.with(lagoon, java.util.Objects.requireNonNull(lagoon.ozone()).with(age)),
        Specs.redoxLow());
  }

  /** Hours before its window, with no calibration asked for. */
  static ProbeBench free() {
    return new ProbeBench(ProbeAge.NOT_REQUIRED, Bench.WINDOW_OPENS.minusSeconds(14_400));
  }

  /** Hours before its window, with one needed of every probe. */
  static ProbeBench required() {
    return new ProbeBench(REQUIRED, Bench.WINDOW_OPENS.minusSeconds(14_400));
  }

  Effect.@Nullable Answer asks(String act, String... more) {
    Map<String, String> fields = new TreeMap<>();
    fields.put("act", act);
    fields.put("tank", "lagoon");
    fields.put("by", "rosa");
    fields.put("id", "id-" + ++asked);
    fields.put("sent", bench.wall.toString());
    for (int i = 0; i < more.length; i += 2) {
      fields.put(more[i], more[i + 1]);
    }
    String json =
        fields.entrySet().stream()
            .map(field -> "\"%s\":\"%s\"".formatted(field.getKey(), field.getValue()))
            .collect(Collectors.joining(",", "{", "}"));
    int before = bench.answers.size();
    bench.event(new Event.Asked(new Request(asked, json.getBytes(StandardCharsets.UTF_8))));
    return bench.answers.size() == before ? null : bench.answers.get(bench.answers.size() - 1);
  }

  Effect.@Nullable Answer asksToCalibrate(String probe, String in) {
    return asks("calibrate-probe", "name", probe, "in", in, "temperature", "25 Cel");
  }

  /** The probe says so. */
  void says(String probe, double millivolts) {
    String figure = String.format(Locale.ROOT, "%.2f", millivolts);
    if (probe.equals("redox-a")) {
      bench.says("lab/lagoon/redox/a", figure);
    } else {
      bench.says("lab/lagoon/redox/b", "{\"mv\":" + figure + "}");
    }
  }

  /** The probe stands in ZoBell's for long enough, reads so much too high, and is put back. */
  void calibrates(String probe, double tooHigh) {
    calibrates(probe, "zobell", ZOBELL + tooHigh);
  }

  void calibrates(String probe, String in, double reads) {
    says(probe, reads);
    bench.live(160);
    assertThat(asksToCalibrate(probe, in)).matches(Effect.Answer::done);
    says(probe, 320);
    bench.live(2);
  }

  ProbeMemory known(String probe) {
    ProbeMemory known = bench.memory().probes().get(probe);
    assertThat(known).isNotNull();
    return java.util.Objects.requireNonNull(known);
  }

  /** From three seconds before a window of a later night until two after it. */
  void windowOpens(Instant opens) {
    bench.passesUntil(opens.minusSeconds(900));
    bench.live(903);
  }
}
