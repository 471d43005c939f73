// NeedsBareWhite(), NeedsBareBlack(): decline where the garment setup prints that color as it is, so that the recipe would be for nothing.
// NeedsLightGarment(), NeedsDarkGarment(): decline the other cloth, by whether its L* (Lab under D50) is at least 50.
static void NeedsBareWhite()
{
    if (!Setup.Ink.WhiteBare)
        Recipe.Decline($"The garment setup {Setup.Name} prints pure white as it is.");
}

static void NeedsBareBlack()
{
    if (!Setup.Ink.BlackBare)
        Recipe.Decline($"The garment setup {Setup.Name} prints pure black as it is.");
}

static void NeedsLightGarment()
{
    if (LabSpace.D50.Of(Setup.Garment).L < 50)
        Recipe.Decline($"The garment of {Setup.Name}, {Setup.Garment}, is dark.");
}

static void NeedsDarkGarment()
{
    if (LabSpace.D50.Of(Setup.Garment).L >= 50)
        Recipe.Decline($"The garment of {Setup.Name}, {Setup.Garment}, is light.");
}
