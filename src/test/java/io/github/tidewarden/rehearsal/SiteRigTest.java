package io.github.tidewarden.rehearsal;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.rehearsal.SimulatedDevice.Fault;
import io.github.tidewarden.rehearsal.SiteRig.Message;
import io.github.tidewarden.science.RoomAir;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Payload;
import io.github.tidewarden.sensing.Reading;
import io.github.tidewarden.sensing.Sensor;
import io.github.tidewarden.sensing.SensorSpec;
import io.github.tidewarden.sensing.Signal;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;

class SiteRigTest {

  private static final long START = 42;
  private static final Instant NIGHT = Instant.parse("2026-11-24T01:40:00.1234Z");
  private static final TankModel QUIET =
      TankModel.typical(50)
          .withProbes(List.of(new TankModel.Probe(0, 0, 0, 1), new TankModel.Probe(0, 0, 0, 0.1)))
          .withSteady(Measure.AIR_FLOW, 5, 0)
          .withSteady(Measure.LEVEL, 210, 0)
          .withSteady(Measure.SALINITY, 35.02, 0)
          .withSteady(Measure.VOLUME, 100, 0);

  private static long at(double seconds) {
    return START + Math.round(seconds * 1e9);
  }

  private static SiteRig rig(TankModel model, TankSpec... specs) {
    return new SiteRig(List.of(specs), spec -> model, 7, START);
  }

  private static Map<String, String> byTopic(List<Message> messages) {
    return messages.stream().collect(Collectors.toMap(Message::topic, Message::payload));
  }

  private static JsonNode json(String payload) {
    try {
      return new JsonMapper().readTree(payload);
    } catch (Exception broken) {
      throw new AssertionError(payload, broken);
    }
  }

  @Test
  void saysEveryReadingInTheFormThatItsSensorHas() {
    Map<String, String> said = byTopic(rig(QUIET, HarbourLab.lagoon()).readings(NIGHT));
    assertThat(said)
        .containsEntry("lab/lagoon/redox/a", "320")
        .containsEntry("lab/lagoon/redox/b", "{\"mv\":320}")
        .containsEntry("lab/lagoon/skimmer/air", "5")
        .containsEntry("lab/lagoon/return", "1")
        .containsEntry("lab/lagoon/sump", "{\"depth\":210}")
        .containsEntry("lab/lagoon/salinity", "35.02")
        .containsEntry("lab/lagoon/new-water", "100")
        .containsEntry("lab/lagoon/floor", "dry")
        .containsKey("lab/gallery/ozone")
        .hasSize(9);
  }

  /** Worked out: 250 mL/min are 50 mL in the 12 s until the pump drops out, 25 mL in 6 s. */
  @Test
  void pumpsMoveWaterAsTheyAreTold() throws ConfigException {
    TankSpec lagoon = ConfigReader.read(Path.of("config/harbour-lab.yaml")).site().tanks().get(0);
    SiteRig rig = rig(QUIET, lagoon);
    rig.command("lab/lagoon/drain/set", "on 12", at(0));
    rig.advanceTo(at(60));
    assertThat(rig.tank("lagoon").tank().value(Measure.LEVEL))
        .isCloseTo(210 - 0.05 / 0.12, within(1e-9));
    rig.command("lab/lagoon/fill/set", "on 12", at(60));
    rig.command("lab/lagoon/fill/set", "off", at(66));
    rig.advanceTo(at(90));
    assertThat(rig.tank("lagoon").tank().value(Measure.VOLUME)).isCloseTo(99.975, within(1e-9));
    assertThat(byTopic(rig.readings(NIGHT))).containsEntry("lab/lagoon/sump", "{\"depth\":209.8}");
  }

  @Test
  void saysItInTheSensorsUnit() {
    SensorSpec volts = HarbourLab.sensor("r", "lab/pool/r", "", Measure.REDOX, 1000, Map.of());
    SensorSpec litres = HarbourLab.sensor("v", "lab/pool/v", "", Measure.VOLUME, 0.001, Map.of());
    SiteRig rig = rig(QUIET, HarbourLab.tank("pool", "", List.of(volts, litres)));
    assertThat(byTopic(rig.readings(NIGHT)))
        .containsEntry("lab/pool/r", "0.32")
        .containsEntry("lab/pool/v", "100000");
  }

  @Test
  void putsAllSensorsOfOneTopicIntoOneMessage() {
    SensorSpec redox =
        new SensorSpec(
            "r", "lab/pool/all", "/a~1b/mv", Measure.REDOX, 1, 50, 700, 1, 0, Map.of(), "/n", "/t");
    SensorSpec floor =
        HarbourLab.sensor(
            "f",
            "lab/pool/all",
            "/a~1b/wet",
            Measure.LEAK,
            1,
            Map.of("true", true, "false", false));
    SiteRig rig = rig(QUIET, HarbourLab.tank("pool", "", List.of(redox, floor)));

    assertThat(rig.readings(NIGHT)).hasSize(1);
    rig.tank("pool").tank().set(Measure.LEAK, 1);
    JsonNode second = json(byTopic(rig.readings(NIGHT)).get("lab/pool/all"));
    assertThat(second.at("/a~1b/mv").asInt()).isEqualTo(320);
    assertThat(second.at("/a~1b/wet").isBoolean()).isTrue();
    assertThat(second.at("/a~1b/wet").asBoolean()).isTrue();
    assertThat(second.at("/n").asInt()).as("sequence").isEqualTo(2);
    assertThat(second.at("/t").asText()).isEqualTo("2026-11-24T01:40:00.123Z");

    rig.tank("pool").sensor("r").silent(true);
    assertThat(byTopic(rig.readings(NIGHT)))
        .containsEntry("lab/pool/all", "{\"a/b\":{\"wet\":true}}");
    rig.tank("pool").sensor("f").silent(true);
    assertThat(rig.readings(NIGHT)).isEmpty();
  }

  /** The form is held against the daemon's own reading of it, sensor by sensor. */
  @Test
  void theDaemonsSensingFindsEveryReadingGoodAndNearTheTruth() {
    SensorSpec volts = HarbourLab.sensor("r", "lab/pool/all", "/r", Measure.REDOX, 1000, Map.of());
    SensorSpec counted =
        new SensorSpec(
            "s", "lab/pool/all", "/s", Measure.SALINITY, 1, 0, 50, 1, 0, Map.of(), "/n", "/t");
    TankSpec pool = HarbourLab.tank("pool", "", List.of(volts, counted));
    TankSpec lagoon = HarbourLab.lagoon();
    SiteRig rig = rig(TankModel.typical(50), lagoon, pool);
    rig.tank("lagoon").tank().set(Measure.LEAK, 1);
    Moment now = new Moment(NIGHT, START, true);
    Map<String, String> said = byTopic(rig.readings(NIGHT));
    for (TankSpec tank : List.of(lagoon, pool)) {
      for (SensorSpec spec : tank.sensors()) {
        byte[] payload = said.get(spec.topic()).getBytes(UTF_8);
        Signal signal =
            Sensor.UNHEARD
                .accept(spec, new Reading(1, spec.topic(), payload, false, now))
                .at(spec, now);
        assertThat(signal.good()).as("%s: %s", spec.name(), signal.reason()).isTrue();
        assertThat(signal.value())
            .as(spec.name())
            .isCloseTo(rig.tank(tank.name()).tank().value(spec.measure()), within(4.0));
      }
    }
    assertThat(said).containsEntry("lab/lagoon/floor", "wet");
  }

  @Test
  void refusesTwoSensorsInPlainMessages() {
    SensorSpec plain = HarbourLab.sensor("a", "lab/pool/x", "", Measure.REDOX, 1, Map.of());
    SensorSpec other = HarbourLab.sensor("b", "lab/pool/x", "/b", Measure.LEVEL, 1, Map.of());
    assertThatIllegalArgumentException()
        .isThrownBy(() -> rig(QUIET, HarbourLab.tank("pool", "", List.of(plain, other))))
        .withMessageContaining("lab/pool/x");
  }

  @Test
  void aRunRaisesRedoxThroughTheDeadTimeAndEndsWithTheLease() {
    SiteRig rig = rig(QUIET, HarbourLab.lagoon());
    for (int t = 0; t < 600; t += 10) {
      rig.command("lab/lagoon/ozone/set", "{\"on\":true,\"for\":30}", at(t));
    }
    rig.advanceTo(at(3600));

    // On from 0 s to 620 s: the sum of two step answers, K = 2 mV per mg/h, 2 % of 50 mg/h leaked.
    double feed = 49;
    double expected =
        310
            + 10 * Math.exp(-3600 / 1800.0)
            + 2 * feed * (1 - Math.exp(-(3600 - 180) / 1800.0))
            - 2 * feed * (1 - Math.exp(-(3600 - 620 - 180) / 1800.0));
    assertThat(rig.tank("lagoon").tank().waterRedoxMillivolts()).isCloseTo(expected, within(1e-9));
    assertThat(rig.tank("lagoon").device("generator").onNanos()).isEqualTo(620_000_000_000L);
  }

  @Test
  void aDropOutTakesEffectAtItsOwnTimeForEveryTankOfTheRoom() {
    TankModel leaky = QUIET.withRoom(new RoomAir(30, 0.35, 2.8), 1);
    SiteRig seldom = twoTanksRunInTurn(leaky);
    SiteRig often = twoTanksRunInTurn(leaky);
    for (int t = 6; t < 900; t++) {
      often.advanceTo(at(t));
    }
    often.advanceTo(at(900));
    seldom.advanceTo(at(900));
    double ozone = seldom.tank("lagoon").tank().value(Measure.OZONE_IN_AIR);
    assertThat(ozone)
        .isPositive()
        .isCloseTo(often.tank("reef").tank().value(Measure.OZONE_IN_AIR), within(1e-9));
  }

  private static SiteRig twoTanksRunInTurn(TankModel model) {
    TankSpec reef = HarbourLab.tank("reef", "gallery", List.of(HarbourLab.ROOM_OZONE));
    SiteRig rig = rig(model, HarbourLab.lagoon(), reef);
    rig.command("lab/lagoon/ozone/set", "{\"on\":true,\"for\":30}", at(0));
    rig.command("lab/reef/ozone/set", "{\"on\":true,\"for\":30}", at(5));
    return rig;
  }

  @Test
  void tanksOfOneRoomShareItsSensor() {
    TankSpec reef = HarbourLab.tank("reef", "gallery", List.of(HarbourLab.ROOM_OZONE));
    SiteRig rig = rig(QUIET, HarbourLab.lagoon(), reef);
    assertThat(rig.tank("reef").sensor("room-ozone"))
        .isSameAs(rig.tank("lagoon").sensor("room-ozone"));
    assertThat(rig.readings(NIGHT).stream().map(Message::topic))
        .containsOnlyOnce("lab/gallery/ozone");
  }

  @Test
  void reportsItsStateInAnswerAndOnChange() {
    SiteRig rig = rig(QUIET, HarbourLab.lagoon());
    assertThat(rig.takeReports()).isEmpty();

    rig.command("lab/lagoon/ozone/set", "{\"on\":false}", at(1));
    assertThat(rig.takeReports())
        .as("a rest that changes nothing is answered too")
        .containsExactly(new Message("lab/lagoon/ozone/state", "{\"on\":false}"));

    rig.command("lab/lagoon/ozone/set", "{\"on\":true,\"for\":10}", at(2));
    List<Message> running = rig.takeReports();
    assertThat(running).containsExactly(new Message("lab/lagoon/ozone/state", "{\"on\":true}"));
    assertThat(Payload.state("/on", running.get(0).payload().getBytes(UTF_8)))
        .as("what the daemon reads")
        .isEqualTo("true");
    assertThat(rig.takeReports()).isEmpty();

    assertThat(rig.nextDropOutNanos()).hasValue(at(12));
    rig.advanceTo(at(13));
    assertThat(rig.takeReports())
        .as("dropped out")
        .containsExactly(new Message("lab/lagoon/ozone/state", "{\"on\":false}"));
    assertThat(rig.states()).hasSize(1);
  }

  @Test
  void muteOrWithoutPowerItReportsNothing() {
    SiteRig rig = rig(QUIET, HarbourLab.lagoon());
    SimulatedDevice generator = rig.tank("lagoon").device("generator");
    generator.fault(Fault.MUTE, true);
    rig.command("lab/lagoon/ozone/set", "{\"on\":true,\"for\":30}", at(1));
    assertThat(generator.on()).isTrue();
    assertThat(rig.takeReports()).isEmpty();
    generator.fault(Fault.MUTE, false);

    rig.tank("lagoon").power(false);
    assertThat(rig.takeReports()).isEmpty();
    assertThat(rig.states()).isEmpty();
    generator.fault(Fault.WAKES_ON, true);
    rig.tank("lagoon").power(true);
    assertThat(rig.takeReports())
        .containsExactly(new Message("lab/lagoon/ozone/state", "{\"on\":true}"));
  }

  @Test
  void theSameSeedAndTheSameCallsGiveTheSameMessages() {
    assertThat(aNight(3)).isEqualTo(aNight(3));
    assertThat(aNight(3)).isNotEqualTo(aNight(4));
  }

  private static List<Message> aNight(long seed) {
    SiteRig rig =
        new SiteRig(List.of(HarbourLab.lagoon()), s -> TankModel.typical(50), seed, START);
    List<Message> said = new ArrayList<>();
    for (int t = 0; t < 300; t += 5) {
      if (t % 20 == 0 && t < 200) {
        rig.command("lab/lagoon/ozone/set", "{\"on\":true,\"for\":30}", at(t));
      }
      rig.advanceTo(at(t + 1));
      said.addAll(rig.readings(NIGHT.plusSeconds(t)));
      said.addAll(rig.takeReports());
    }
    return said;
  }

  @Test
  void listsTheSetTopicsAndRefusesUnknownNames() {
    SiteRig rig = rig(QUIET, HarbourLab.lagoon());
    assertThat(rig.setTopics()).containsExactly("lab/lagoon/drain/set", "lab/lagoon/ozone/set");
    assertThatIllegalArgumentException().isThrownBy(() -> rig.tank("pond"));
    assertThatIllegalArgumentException().isThrownBy(() -> rig.tank("lagoon").sensor("redox-c"));
    assertThatIllegalArgumentException().isThrownBy(() -> rig.tank("lagoon").device("heater"));
  }
}
