// R2002
AppContext.SetSwitch("System.Globalization.Invariant", false);
