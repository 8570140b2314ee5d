"""What several questions share of a vehicle: tyre, drivetrain, engine, resistance, axle and its parts."""
