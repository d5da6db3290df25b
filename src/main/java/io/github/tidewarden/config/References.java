package io.github.tidewarden.config;

import io.github.tidewarden.science.Electrodes.Reference;
import java.util.LinkedHashMap;
import java.util.Map;

/** The reference electrodes by the names that a configuration uses. */
final class References {
  /** The electrode that the compiled-in and the site's limits are against. */
  static final String OF_LIMITS = Reference.SILVER_CHLORIDE_3_M.word();

  /** By name, in the order in which complaints list them; that of the limits comes first. */
  static final Map<String, Reference> BY_NAME = new LinkedHashMap<>();

  static {
    BY_NAME.put(OF_LIMITS, Reference.SILVER_CHLORIDE_3_M);
    for (Reference reference : Reference.values()) {
      if (reference != Reference.STANDARD_HYDROGEN) {
        BY_NAME.put(reference.word(), reference);
      }
    }
    BY_NAME.put(Reference.STANDARD_HYDROGEN.word(), Reference.STANDARD_HYDROGEN);
  }

  private References() {}
}
