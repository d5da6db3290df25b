package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.sensing.SensorSpec;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** A slip of the pen in any value is refused, or stays within what is compiled in (F33, F34). */
class TypoTest {
  private static final Pattern AMOUNT =
      Pattern.compile(
          "(?<![\\w.])(\\d+(?:\\.\\d+)?) (mV|min|s|L/min|mL/min|L|mL|mm|PSU|mg/h|%)(?=[\\s,}\\]])");

  /** Units that are a thousand or sixty times as large or as small, or of another dimension. */
  private static final Map<String, List<String>> CONFUSED =
      Map.of(
          "mV", List.of("V", "mm", "mv"),
          "min", List.of("s", "h", "d", "ms", "m", "minutes"),
          "s", List.of("min", "ms", "h", "S", "sec"),
          "L/min", List.of("mL/min", "L/h", "L", "l/min"),
          "mL/min", List.of("L/min", "mL/s", "mL", "L/h"),
          "L", List.of("mL", "mm", "l", "L/min"),
          "mL", List.of("L", "mm", "ml"),
          "mm", List.of("cm", "m", "mL", "mV"),
          "PSU", List.of("%", "ppm", "psu"),
          "mg/h", List.of("g/h", "mg", "kg/h", "mg/min"));

  /** The slips that a person makes; each must be refused. */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "rated-output: 50 mg/h | rated-output: 50 g/h",
        "rated-output: 50 mg/h | rated-output: 500 mg/h",
        "rated-output: 50 mg/h | rated-output: 50 mg",
        "rated-output: 50 mg/h | rated-output: 50 ug/h",
        "rated-output: 50 mg/h | rated-output: 0 mg/h",
        "rated-output: 50 mg/h | rated-output: fifty mg/h",
        "most-per-night: 60 min | most-per-night: 60 h",
        "most-per-night: 60 min | most-per-night: 600 min",
        "most-per-night: 60 min | most-per-night: 60",
        "most-per-night: 60 min | most-per-night: -60 min",
        "most-per-night: 60 min | most-per-night: 60 g",
        "most-per-night: 60 min | most-per-night: unlimited",
        "most-per-night: 60 min | most-per-night: 0 min",
        "ceiling: 400 mV | ceiling: 400 V",
        "ceiling: 400 mV | ceiling: 4000 mV",
        "ceiling: 400 mV | ceiling: 40 mV",
        "ceiling: 400 mV | ceiling: 0 mV",
        "ceiling: 400 mV | ceiling: 0.4 mV",
        "ceiling: 400 mV | ceiling: none",
        "ceiling: 400 mV | ceiling: 430 mV",
        "ceiling: 400 mV | ceiling: 445 mV",
        "ceiling: 400 mV | ceiling: .inf",
        "start-below: 340 mV | start-below: 34 mV",
        "start-below: 340 mV | start-below: 3400 mV",
        "start-below: 340 mV | start-below: 0.34 mV",
        "stop-above: 365 mV | stop-above: 3650 mV",
        "stop-above: 365 mV | stop-above: 36.5 mV",
        "stop-above: 365 mV | stop-above: 365 V",
        "redox-ceiling: 430 mV | redox-ceiling: 43 mV",
        "redox-ceiling: 430 mV | redox-ceiling: 4300 mV",
        "redox-ceiling: 430 mV | redox-ceiling: 430 V",
        "redox-ceiling: 430 mV | redox-ceiling: off",
        "ozone-per-24h: 120 min | ozone-per-24h: 120 h",
        "ozone-per-24h: 120 min | ozone-per-24h: 12 min",
        "ozone-per-24h: 120 min | ozone-per-24h: 1200 min",
        "ozone-per-24h: 120 min | ozone-per-24h: 0 min",
        "longest-drop-out: 60 s | longest-drop-out: 60 min",
        "longest-drop-out: 60 s | longest-drop-out: 6 s",
        "longest-drop-out: 60 s | longest-drop-out: 600 s",
        "drop-out: 30 s | drop-out: 30 min",
        "drop-out: 30 s | drop-out: 3 s",
        "drop-out: 30 s | drop-out: 300 s",
        "drop-out: 30 s | drop-out: 30 ms",
        "drop-out: 30 s | drop-out: 30",
        "exchange-per-24h: 10 % | exchange-per-24h: 100 %",
        "exchange-per-24h: 10 % | exchange-per-24h: 1 %",
        "imbalance: 0.5 % | imbalance: 5 %",
        "imbalance: 0.5 % | imbalance: 0.05 %",
        "per-day: 3 % | per-day: 30 %",
        "per-day: 3 % | per-day: 3 L",
        "portion: 0.5 L | portion: 5 L",
        "portion: 0.5 L | portion: 50 L",
        "portion: 0.5 L | portion: 0,5 L",
        "rate: 250 mL/min | rate: 250 L/min",
        "rate: 250 mL/min | rate: 250 mL/s",
        "rate: 250 mL/min | rate: -250 mL/min",
        "water: 340 L | water: 340 mL",
        "water: 340 L | water: 34 L",
        "water: 340 L | water: -340 L",
        "stale-after: 10 min | stale-after: 10 h",
        "stale-after: 10 min | stale-after: 10",
        "low: 3 L/min | low: 3 L/s",
        "low: 3 L/min | low: -3 L/min",
        "[180 mm, 240 mm] | [240 mm, 180 mm]",
        "[180 mm, 240 mm] | [180 cm, 240 mm]",
        "[180 mm, 240 mm] | [180 mm, 240 m]",
        "[33.5 PSU, 36.5 PSU] | [33.5 PSU, 365 PSU]",
        "within: 5 s | within: 5 min",
        "salinity: 35 PSU | salinity: 350 PSU",
        "from: \"01:30\" | from: \"13:0\"",
        "to: \"03:00\" | to: \"25:00\""
      })
  void isRefused(String old, String changed) {
    List<Complaint> complaints = ConfigText.lab().with(old, changed).complaints();

    assertThat(complaints).isNotEmpty();
  }

  @Test
  void inAnyValueIsRefusedOrStaysWithinTheMaxima() throws ConfigException {
    String lab = ConfigText.lab().text();
    Matcher amount = AMOUNT.matcher(lab);
    int tried = 0;
    int refused = 0;
    while (amount.find()) {
      if (lab.lastIndexOf('#', amount.start()) > lab.lastIndexOf('\n', amount.start())) {
        continue;
      }
      for (String typo : typos(new BigDecimal(amount.group(1)), amount.group(2))) {
        ConfigText text =
            new ConfigText(lab.substring(0, amount.start()) + typo + lab.substring(amount.end()));
        tried++;
        if (text.complaints().isEmpty()) {
          withinMaxima(text.read(), amount.group() + " -> " + typo);
        } else {
          refused++;
        }
      }
    }
    assertThat(tried).isGreaterThan(400);
    assertThat(refused).isGreaterThan(tried / 2);
  }

  @Test
  void thatIsNoAmountAtAllIsAlwaysRefused() {
    String lab = ConfigText.lab().text();
    Matcher amount = AMOUNT.matcher(lab);
    while (amount.find()) {
      if (lab.lastIndexOf('#', amount.start()) > lab.lastIndexOf('\n', amount.start())) {
        continue;
      }
      String number = amount.group(1);
      String unit = amount.group(2);
      for (String garbage :
          List.of(
              number,
              unit,
              "NaN " + unit,
              "Infinity " + unit,
              ".inf",
              number + "e3 " + unit,
              "0x10 " + unit,
              number + "," + number + " " + unit,
              "-" + number + " " + unit,
              number + unit,
              "~",
              "\"\"",
              "true",
              number + " furlong")) {
        ConfigText text =
            new ConfigText(
                lab.substring(0, amount.start()) + garbage + lab.substring(amount.end()));
        assertThat(text.complaints()).as("%s -> %s", amount.group(), garbage).isNotEmpty();
      }
    }
  }

  private static List<String> typos(BigDecimal number, String unit) {
    List<String> typos = new ArrayList<>();
    for (int digits : new int[] {-3, -2, -1, 1, 2, 3, 6, 9}) {
      typos.add(number.movePointRight(digits).toPlainString() + " " + unit);
    }
    typos.add("0 " + unit);
    typos.add(number.negate().toPlainString() + " " + unit);
    for (String other : CONFUSED.getOrDefault(unit, List.of())) {
      typos.add(number.toPlainString() + " " + other);
    }
    return typos;
  }

  /** The compiled-in maxima as SAFETY.md prints them, not as the code does. */
  private static void withinMaxima(Configuration read, String typo) {
    HardLimits hard = read.site().hardLimits();
    assertThat(hard.redoxCeilingMillivolts()).as(typo).isPositive().isLessThanOrEqualTo(450);
    assertThat(hard.ozonePer24hNanos())
        .as(typo)
        .isPositive()
        .isLessThanOrEqualTo(TimeUnit.MINUTES.toNanos(240));
    assertThat(hard.longestDropOutSeconds()).as(typo).isBetween(6, 120);
    assertThat(hard.exchangePer24hPercent()).as(typo).isPositive().isLessThanOrEqualTo(20);
    assertThat(hard.imbalancePercent()).as(typo).isPositive().isLessThanOrEqualTo(1);
    assertThat(PlanText.of(read)).as(typo).doesNotContain("no value");
    for (TankSpec tank : read.site().tanks()) {
      for (ActuatorSpec actuator : tank.actuators()) {
        assertThat(actuator.dropOutSeconds()).as(typo).isBetween(6, hard.longestDropOutSeconds());
      }
      for (SensorSpec sensor : tank.sensors()) {
        long most = sensor.measure().contact() ? 900 : Math.max(120, slowSeconds(sensor));
        assertThat(sensor.staleNanos()).as(typo).isBetween(1L, TimeUnit.SECONDS.toNanos(most));
        assertThat(sensor.plausibleLow()).as(typo).isLessThan(sensor.plausibleHigh());
      }
      OzoneSpec ozone = tank.ozone();
      if (ozone != null) {
        assertThat(ozone.startBelowMillivolts())
            .as(typo)
            .isPositive()
            .isLessThan(ozone.stopAboveMillivolts());
        assertThat(ozone.stopAboveMillivolts()).as(typo).isLessThan(ozone.ceilingMillivolts());
        assertThat(ozone.ceilingMillivolts()).as(typo).isLessThan(hard.redoxCeilingMillivolts());
        assertThat(ozone.mostPerNightNanos()).as(typo).isBetween(1L, hard.ozonePer24hNanos());
        assertThat(ozone.ratedMilligramsPerHour() / tank.waterLitres())
            .as(typo)
            .isPositive()
            .isLessThanOrEqualTo(0.5);
        assertThat(ozone.quantumNanos()).as(typo).isBetween(1L, TimeUnit.MINUTES.toNanos(5));
      }
    }
  }

  /** Salinity and volume change slowly, so they have 5 min; our choice. */
  private static long slowSeconds(SensorSpec sensor) {
    return switch (sensor.measure()) {
      case SALINITY, VOLUME -> 300;
      default -> 0;
    };
  }
}
