// R4001
Art.Fill(Art.Find.PureWhite(), Rgba8.Black, "");
