"""The craft as data: how a mirror glaze is made, and how each cake is poured."""
