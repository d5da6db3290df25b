package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.SensorSpec;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.DayOfWeek;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.EnumSet;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** The configurations that come with the project. */
class ShippedFilesTest {
  private static final Path LAB = Path.of("config/harbour-lab.yaml");
  private static final Path SMALLEST = Path.of("config/smallest.yaml");

  @Test
  void harbourLabLoadsAsWritten() throws ConfigException {
    Configuration lab = ConfigReader.read(LAB);

    assertThat(lab.site().name()).isEqualTo("harbour-lab");
    assertThat(lab.site().zone()).isEqualTo(ZoneId.of("Europe/Lisbon"));
    assertThat(lab.stateDir()).isEqualTo(Path.of("/var/lib/tidewarden"));
    assertThat(lab.clock())
        .isEqualTo(new ClockSpec(ClockSpec.TrustedWhen.SYNCHRONISED, ClockSpec.DEFAULT_MARKER));
    assertThat(lab.broker())
        .isEqualTo(
            new BrokerSpec(
                "localhost",
                1883,
                false,
                "tidewarden",
                Path.of("/etc/tidewarden/broker.password")));
    assertThat(lab.broker().url()).isEqualTo("mqtt://localhost:1883");
    assertThat(lab.reviewAt()).isEqualTo(LocalTime.of(7, 0));
    assertThat(lab.site().hardLimits())
        .isEqualTo(new HardLimits(430, TimeUnit.MINUTES.toNanos(120), 60, 10, 0.5));
    assertThat(lab.site().tanks()).extracting(TankSpec::name).containsExactly("lagoon", "nursery");
    assertThat(lab.notices()).isEmpty();
  }

  /** The expected digest was taken with sha256sum of GNU coreutils from the same text. */
  @Test
  void theDigestIsTheSha256OfTheBytes() throws ConfigException, IOException {
    byte[] bytes =
        """
        site: a
        zone: UTC
        state-dir: /a
        clock: { trusted-when: synchronised }
        broker: { url: "mqtt://a" }
        hard-limits: { redox-ceiling: 400 mV, ozone-per-24h: 60 min, longest-drop-out: 30 s, exchange-per-24h: 5 %, imbalance: 0.5 % }
        tanks: { a: { water: 5 L, sensors: {} } }
        """
            .getBytes(StandardCharsets.UTF_8);
    String digest = ConfigReader.read(SMALLEST, bytes).digest();

    assertThat(digest)
        .isEqualTo("e011b6c4fd2f39d857f99fe02fc62715eeba4fc37b1abbf95acddbfbda9dedf8");
    bytes[bytes.length - 1] = ' ';
    assertThat(ConfigReader.read(SMALLEST, bytes).digest()).isNotEqualTo(digest);
  }

  @Test
  void theLagoonGetsItsOzoneAsWritten() throws ConfigException {
    TankSpec lagoon = ConfigReader.read(LAB).site().tanks().get(0);

    assertThat(lagoon.ozone())
        .isEqualTo(
            new OzoneSpec(
                "generator",
                50,
                List.of(
                    new WindowSpec(
                        LocalTime.of(1, 30), LocalTime.of(3, 0), EnumSet.allOf(DayOfWeek.class))),
                TimeUnit.MINUTES.toNanos(60),
                List.of("redox-a", "redox-b"),
                "Ag/AgCl 3 M KCl",
                340,
                365,
                400,
                TimeUnit.MINUTES.toNanos(5),
                TimeUnit.MINUTES.toNanos(10),
                TimeUnit.MINUTES.toNanos(5),
                ProbeAge.NOT_REQUIRED,
                0));
    assertThat(lagoon.sensors())
        .extracting(SensorSpec::name)
        .containsExactly(
            "room-ozone",
            "redox-a",
            "redox-b",
            "skimmer-air",
            "circulation",
            "sump",
            "salinity",
            "new-water",
            "floor");
    assertThat(lagoon.actuators())
        .containsExactly(
            new ActuatorSpec(
                "generator",
                TankFunction.OZONE,
                "lab/lagoon/ozone/set",
                "{\"on\":true,\"for\":{seconds}}",
                "{\"on\":false}",
                30),
            new ActuatorSpec(
                "drain", TankFunction.EXCHANGE, "lab/lagoon/drain/set", "on {seconds}", "off", 12),
            new ActuatorSpec(
                "fill", TankFunction.EXCHANGE, "lab/lagoon/fill/set", "on {seconds}", "off", 12),
            new ActuatorSpec(
                "top-off-hold",
                TankFunction.TOP_OFF,
                "lab/lagoon/top-off/hold",
                "{\"on\":true,\"for\":{seconds}}",
                "{\"on\":false}",
                30));
    assertThat(lagoon.confirms())
        .containsOnlyKeys("generator", "top-off-hold")
        .containsEntry(
            "generator",
            new ConfirmSpec(
                "lab/lagoon/ozone/state", "/on", "true", "false", TimeUnit.SECONDS.toNanos(5)));
  }

  @Test
  void theQuarantineExchangesWithoutANotice() throws ConfigException {
    Configuration quarantine = ConfigText.quarantine().read();

    assertThat(quarantine.notices()).isEmpty();
    TankSpec tank = quarantine.site().tanks().get(0);
    assertThat(tank.ozone()).isNull();
    assertThat(tank.without()).isEmpty();
  }

  @Test
  void theSmallestHasTenLinesAndLoads() throws ConfigException, IOException {
    assertThat(Files.readAllLines(SMALLEST)).hasSize(10);

    TankSpec tank = ConfigReader.read(SMALLEST).site().tanks().get(0);

    assertThat(tank.ozone()).isNotNull();
    assertThat(tank.without())
        .containsOnlyKeys("skimmer-air", "room-ozone", "circulation", "probe-calibration");
    assertThat(tank.interlocks())
        .extracting(InterlockSpec::name)
        .containsExactly("redox-ceiling", "redox-low");
  }
}
