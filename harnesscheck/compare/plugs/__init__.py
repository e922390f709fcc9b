"""Where two cars meet, plug by plug and cavity by cavity."""
