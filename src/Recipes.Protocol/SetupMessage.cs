using Recipes.Imaging;

namespace Recipes.Protocol;

/// <summary>A garment setup as it goes to a worker; its folder stays here.</summary>
internal static class SetupMessage
{
    public static void Write(MessageWriter writer, GarmentSetup setup)
    {
        writer.Text(setup.Name);
        writer.Color(setup.Garment);
        writer.Number(setup.PlatenWidth);
        writer.Number(setup.PlatenHeight);
        writer.Number(setup.PixelsPerInch);
        writer.Flag(setup.Ink.WhiteBare);
        writer.Flag(setup.Ink.BlackBare);
        writer.Flag(setup.Ink.TransparentBare);
        writer.Color(setup.Ink.BrightestWhite);
        writer.Color(setup.Ink.DarkestBlack);
        writer.Number((int)setup.Ink.BareAs);
        writer.Number((int)setup.Underbase);
        writer.Number(setup.SafeMargin);
        writer.Optional(setup.InkLot);
        writer.Optional(setup.Pretreatment);
        writer.Flag(setup.Chart is not null);
        if (setup.Chart is { } chart)
        {
            writer.Text(chart.File);
            writer.Optional(chart.Sha256);
            writer.Optional(chart.Date);
        }

        writer.Flag(setup.InkConstants is not null);
        if (setup.InkConstants is { } ink)
        {
            writer.Optional(ink.GramsPerSquareMeter);
            writer.Optional(ink.GramsPerMilliliter);
        }
    }

    // The fields are read as they were written: an initializer runs in the order of its lines.
    public static GarmentSetup Read(MessageReader reader) => new()
    {
        Name = reader.Text(),
        Garment = reader.Color(),
        PlatenWidth = reader.RealNumber(),
        PlatenHeight = reader.RealNumber(),
        PixelsPerInch = reader.RealNumber(),
        Ink = new InkRules
        {
            WhiteBare = reader.Flag(),
            BlackBare = reader.Flag(),
            TransparentBare = reader.Flag(),
            BrightestWhite = reader.Color(),
            DarkestBlack = reader.Color(),
            BareAs = (BareAs)reader.OneOf(Enum.GetValues<BareAs>().Length),
        },
        Underbase = (Underbase)reader.OneOf(Enum.GetValues<Underbase>().Length),
        SafeMargin = reader.RealNumber(),
        InkLot = reader.OptionalText(),
        Pretreatment = reader.OptionalText(),
        Chart = reader.Flag() ? new ChartReference(reader.Text(), reader.OptionalText(), reader.OptionalText()) : null,
        InkConstants = reader.Flag() ? new InkConstants(reader.OptionalRealNumber(), reader.OptionalRealNumber()) : null,
    };
}
