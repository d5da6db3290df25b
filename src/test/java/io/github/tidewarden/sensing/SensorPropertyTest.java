package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Streams that are spoiled on their way (SAFETY.md F02, F08, F09, F11). */
class SensorPropertyTest {
  private static final int STREAMS = 2_000;

  private record Sent(long number, double millivolts) {
    String payload() {
      return "{\"mv\":" + millivolts + ",\"n\":" + number + "}";
    }
  }

  /**
   * Half of the messages sent again and a third out of order: with a counter the sensor says what
   * the stream without its late and repeated messages says, and is no younger.
   */
  @Test
  void aReplayedAndReorderedStreamSaysWhatTheCleanOneSays() {
    for (int seed = 0; seed < STREAMS; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      SensingBench noisy = new SensingBench(SensingBench.COUNTED);
      SensingBench clean = new SensingBench(SensingBench.COUNTED);
      List<Sent> sent = new ArrayList<>();
      long highest = Long.MIN_VALUE;
      for (int i = 0; i < 100; i++) {
        Duration step = Duration.ofMillis(random.nextInt(3_000));
        noisy.passes(step);
        clean.passes(step);
        sent.add(new Sent(i, random.nextDouble(60, 690)));
        Sent now = sent.get(random.nextInt(3) == 0 ? random.nextInt(sent.size()) : i);
        noisy.hears(now.payload());
        if (now.number() > highest) {
          highest = now.number();
          clean.hears(now.payload());
        }
        if (random.nextBoolean()) {
          noisy.hears(now.payload());
        }
        if (random.nextInt(4) == 0) {
          noisy.hears(SensingBench.bytes(sent.get(i).payload()), true);
        }
        Signal said = noisy.signal();
        Signal shouldSay = clean.signal();
        String told = "seed " + seed + " message " + i;
        assertThat(said.ageNanos()).as(told).isEqualTo(shouldSay.ageNanos());
        assertThat(said.quality()).as(told).isEqualTo(shouldSay.quality());
        assertThat(said.value()).as(told).isEqualTo(shouldSay.value());
      }
    }
  }

  /**
   * Any earlier stretch of the same series, sent again at any pace after the sensor went stale,
   * never makes it good. By a count alone the very first numbers look like a restart; the device's
   * own time tells them apart.
   */
  @Test
  void noReplayOfAnEarlierStretchIsEverGood() {
    SensorSpec both = SensingBench.redox("/mv", 1, "/n", "/t");
    for (int seed = 0; seed < STREAMS; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      boolean timed = random.nextBoolean();
      SensingBench bench = new SensingBench(timed ? both : SensingBench.COUNTED);
      long first = timed ? 0 : Sensor.MOST_AT_RESTART + 1;
      List<String> sent = new ArrayList<>();
      int count = 2 + random.nextInt(150);
      for (int i = 0; i < count; i++) {
        bench.passes(Duration.ofMillis(1 + random.nextInt(2_000)));
        sent.add(
            "{\"mv\":%d,\"n\":%d,\"t\":\"%s\"}"
                .formatted(random.nextInt(300, 400), first + i, bench.wall));
        bench.hears(sent.get(i));
        assertThat(bench.signal().good()).isTrue();
      }
      bench.passes(Duration.ofSeconds(60 + random.nextInt(10)));
      for (int replay = 0; replay < 4; replay++) {
        int from = random.nextInt(count);
        int pace = random.nextInt(3) * 700;
        for (int i = from; i < count; i++) {
          bench.passes(Duration.ofMillis(pace)).hears(sent.get(i));
          assertThat(bench.signal().good()).as("seed " + seed + " message " + i).isFalse();
        }
      }
    }
  }

  /** A redox in volts or microvolts, whatever its course, never permits anything. */
  @Test
  void aStreamAThousandTimesTooLargeOrTooSmallIsNeverGood() {
    for (double factor : new double[] {1_000, 0.001}) {
      SplittableRandom random = new SplittableRandom(11);
      SensingBench bench = new SensingBench(SensingBench.REDOX);
      for (int i = 0; i < 100_000; i++) {
        double millivolts = random.nextDouble(50, 700);
        bench.passes(Duration.ofSeconds(1)).hears(Double.toString(millivolts * factor));
        if (bench.signal().quality() != Quality.BAD) {
          throw new AssertionError(millivolts + " mV times " + factor + ": " + bench.signal());
        }
      }
    }
  }

  /** Whatever comes, in whatever order: good is fresh, plausible, live and undoubted. */
  @Test
  void goodIsAlwaysFreshAndPlausibleAndLive() {
    int good = 0;
    String[] payloads = {"320", "330.5", "0", "NaN", "", "701", "50", "x", "{\"mv\":320}"};
    for (int seed = 0; seed < STREAMS; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      SensingBench bench = new SensingBench(SensingBench.REDOX);
      bench.mono = random.nextInt(3) == 0 ? Long.MAX_VALUE - 100 : random.nextLong();
      double believed = Double.NaN;
      long since = 0;
      boolean doubted = true;
      for (int i = 0; i < 100; i++) {
        bench.passes(Duration.ofMillis(random.nextInt(random.nextInt(10) == 0 ? 90_000 : 2_000)));
        int which = random.nextInt(payloads.length + 4);
        if (which >= payloads.length + 2) {
          bench.hears(SensingBench.bytes("320"), true);
        } else if (which == payloads.length) {
          bench.sensor = bench.sensor.distrusted("messages were lost");
          doubted = true;
        } else if (which < payloads.length) {
          bench.hears(payloads[which]);
          doubted = which != 0 && which != 1 && which != 6;
          believed = doubted ? believed : Double.parseDouble(payloads[which]);
          since = doubted ? since : bench.mono;
        }
        boolean fresh = bench.mono - since < 60 * SensingBench.SECOND;
        assertThat(bench.signal().good())
            .as("seed " + seed + " message " + i)
            .isEqualTo(!doubted && fresh);
        if (bench.signal().good()) {
          assertThat(bench.signal().value()).isEqualTo(believed);
          good++;
        }
      }
    }
    assertThat(good).isGreaterThan(STREAMS);
  }
}
