package records_test

const procedureText = `{
  "format": "brinebell procedure 1", "name": "fried", "version": 1,
  "title": {"en": "Fried", "es": "Frito"}, "item": {"en": "fried", "es": "frito"}, "piece": "150 g", "counted": "pieces",
  "receiving": {"warmth": {"max": "5 Cel", "source": {"en": "made up", "es": "inventado"}, "critical": true}},
  "stages": [
    {"name": "cook", "kind": "wait", "title": {"en": "Cook", "es": "Fritura"}, "act": {"en": "Load", "es": "Cargar"},
      "doing": {"en": "cooking", "es": "friendo"}, "vessel": "load", "equipment": "fryer",
      "window": {"ceiling": "PT30M", "patience": "PT1M"},
      "caution": {"hazards": ["hot oil"], "title": {"en": "Hot oil", "es": "Aceite"}, "lines": [{"en": "Slowly.", "es": "Despacio."}]},
      "steps": [{"name": "core", "kind": "read", "unit": "Cel", "text": {"en": "Core temperature", "es": "Temperatura interior"},
        "limit": {"min": "74 Cel", "source": {"en": "Food Code 3-401.11", "es": "Food Code 3-401.11"}, "critical": true},
        "ifNot": {"en": "Cook on.", "es": "Seguir friendo."}}]},
    {"name": "hold", "kind": "hold", "title": {"en": "Hold", "es": "Espera"}, "act": {"en": "Tray up", "es": "Poner en bandejas"},
      "doing": {"en": "for sale", "es": "en venta"}, "vessel": "tray", "enter": {"counted": true},
      "window": {"ceiling": "PT1H", "patience": "PT1M"}}
  ],
  "reasons": [{"en": "Dropped", "es": "Caída"}]
}`

const equipmentText = `{
  "format": "brinebell equipment 1", "name": "kitchen", "version": 1,
  "devices": [
    {"name": "fryer-1", "kind": "fryer", "title": {"en": "Fryer 1", "es": "Freidora 1"}, "reading": {"what": {"en": "oil", "es": "aceite"},
      "unit": "Cel", "min": "164 Cel", "source": {"en": "House rule", "es": "Regla"}, "every": "PT2H"}},
    {"name": "cold-room", "kind": "cold room", "title": {"en": "Cold room", "es": "Cámara"}, "reading": {"what": {"en": "air", "es": "aire"},
      "unit": "Cel", "max": "4 Cel", "source": {"en": "House rule", "es": "Regla"}, "every": "PT4H"}}
  ],
  "probes": [{"name": "p1", "title": {"en": "Red probe", "es": "Sonda roja"}}]
}`

const listText = `{
  "format": "brinebell list 1", "name": "opening", "version": 1, "title": {"en": "Opening", "es": "Apertura"},
  "opens": "06:00", "due": "07:00", "patience": "PT10M",
  "steps": [
    {"name": "hands", "kind": "do", "text": {"en": "Wash hands", "es": "Lavarse las manos"}},
    {"name": "cold", "kind": "read", "unit": "Cel", "text": {"en": "Read the cold room", "es": "Leer la cámara"},
      "limit": {"max": "4 Cel", "source": {"en": "House rule", "es": "Regla"}}, "ifNot": {"en": "Call the lead.", "es": "Llamar al jefe."}}
  ]
}`
