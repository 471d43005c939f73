// R4001
Art.Fill(Art.Find.PureWhite(), new Rgba8(1, 2, 3), "half");
throw new InvalidOperationException("after the change");
