using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>Art that states no resolution has one size, the same in every line, page and recipe.</summary>
public sealed class SizeTests : IDisposable
{
    private const string Setup = "light-garment";
    private static readonly Rgba8 Ink = new(20, 60, 140);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    // A logo of 504 px of ink, printed 4 in wide: 504 / 4 = 126, however many pixels the print file has.
    [Fact]
    public void A_resampled_logo_stays_what_it_was_in_every_place()
    {
        const string words = "126 pixels per printed inch as it came, resampled to 300: 14.00 x 16.00 in";
        Picture.Write(shop.At("sail.png"), 544, 340, (x, y) => x is >= 20 and < 524 && y is >= 20 and < 320 ? Ink : Rgba8.White, ppi: 72);
        shop.Run("commit", "fit-to-platen", "sail.png", "--setup", Setup, "--set", "width=4in", "--set", "allow-low-resolution=true").ShouldExit(0)
            .Out.ShouldContain("Effective resolution: 126 pixels per printed inch");
        shop.Run("commit", "remove-specks", "sail.png", "--set", "area=9mm2").ShouldExit(0);
        shop.Run("check", "sail.png", "--out", "looked").ShouldExit(0).Out.ShouldContain(words);
        Low(shop.Json("check", "sail.png").ShouldExit(0).Json);
        Page(Path.Combine("looked", "check.html")).ShouldContain("effective ppi as it came, resampled to 300, too low");

        shop.Run("export", "sail.png", "-o", "print.png").ShouldExit(0).Out.ShouldContain("126 ppi as it came, resampled to 300");
        ((double)shop.Json("export", "sail.png", "-o", "print.tif").ShouldExit(0).Json["effectivePpi"]!).ShouldBe(126);
        shop.Run("check", "print.png", "--setup", Setup).ShouldExit(0).Out.ShouldContain(words);
        Low(shop.Json("check", "print.tif", "--setup", Setup).ShouldExit(0).Json);
        // A work file of its own holds the export's pixels alone; what it came from is still known.
        shop.Run("note", "print.png", "the customer wants it soon").ShouldExit(0);
        var noted = shop.Json("check", "print.png", "--setup", Setup).ShouldExit(0).Json;
        Low(noted);
        ((bool)noted["export"]!["current"]!).ShouldBeTrue();
        shop.Run("commit", "remove-specks", "print.png", "--setup", Setup, "--set", "area=9mm2").ShouldExit(0);
        Low(shop.Json("check", "print.png").ShouldExit(0).Json);

        shop.Run("ticket", "sail.png", "-o", "ticket.html").ShouldExit(0).Out.ShouldContain("126 ppi as it came, resampled to 300");
        Page("ticket.html").ShouldContain("126 ppi as it came, resampled to 300: too low");
        ((double)shop.Json("ticket", "sail.png", "-o", "ticket.html", "--force").ShouldExit(0).Json["effectivePpi"]!).ShouldBe(126);

        shop.Write("today.csv", $"art,recipe,setup,quantity\nsail.png,fit-to-platen,{Setup},2\n");
        var items = shop.Json("run", "--list", "today.csv", "-o", "printed", "--set", "width=4in", "--set", "allow-low-resolution=true")
            .ShouldExit(0).Json["items"]!.AsArray();
        ((double)items[0]!["effectivePpi"]!).ShouldBe(126);
        Page(Path.Combine("printed", "today.html")).ShouldContain("126 ppi as it came, resampled to 300");
        Low(shop.Json("check", Path.Combine("printed", "sail.png"), "--setup", Setup).ShouldExit(0).Json);

        static void Low(System.Text.Json.Nodes.JsonNode check)
        {
            (Math.Round((double)check["effectivePpi"]!, 1), Math.Round((double)check["printPpi"]!, 1)).ShouldBe((126, 300));
            check["findings"]!.AsArray().Select(finding => (string)finding!["code"]!).ShouldContain("low-resolution");
        }
    }

    // By hand. 300 ppi are the setup's, 13.5 in its platen of 14 in less twice the margin of 0.25 in. A square of white of 60 px a side
    // is 3,600 px, an inch 25.4 mm: 3600 x 25.4 x 25.4 / 300 / 300 = 25.81 mm2. 5,400 px would be 18 in, so they fill 13.5 in: 400 ppi,
    // and the square is 14.52 mm2. 4,200 px are the platen's own 14 in.
    [Theory]
    [InlineData(600, 600, 300, "the setup's", "2.00 x 2.00 in", "25.81")]
    [InlineData(5400, 300, 400, "filling the platen inside its margin", "13.50 x 0.75 in", "14.52")]
    [InlineData(300, 6200, 400, "filling the platen inside its margin", "0.75 x 15.50 in", "14.52")]
    [InlineData(4200, 4800, 300, "the setup's", "14.00 x 16.00 in", "25.81")]
    public void Check_runs_pages_and_recipes_take_art_without_a_resolution_at_the_same(int width, int height, int ppi, string why, string size, string area)
    {
        Picture.Write(shop.At("sail.png"), width, height, (x, y) =>
            Math.Min(Math.Min(x, width - 1 - x), Math.Min(y, height - 1 - y)) < 80 || (x is >= 100 and < 160 && y is >= 100 and < 160) ? Rgba8.White
                : Ink, ppi: null);
        string words = string.Create(CultureInfo.InvariantCulture, $"no resolution stated; taken as {ppi} ppi, {why}");
        shop.Write("measure.csx", """
            Recipe.Title("Measure");
            Recipe.Purpose("Tells what an inch is.");
            var inch = Param.Length("inch", "1in", help: "An inch");
            Report.Note($"{inch} px to the inch, {Art.PixelsPerInch} ppi");
            Report.Regions("enclosed white", Art.Find.PureWhite().Enclosed().Islands(), Art.Find.PureWhite().Enclosed());
            """);

        var check = shop.Run("check", "sail.png", "--setup", Setup, "--out", "looked").ShouldExit(0).Out;
        check.ShouldContain(words);
        check.ShouldContain(string.Create(CultureInfo.InvariantCulture, $"  size      {ppi} pixels per printed inch: {size};"));
        check.ShouldContain($" {area}   100,100,60,60");
        check.ShouldNotContain("low-resolution");
        check.ShouldNotContain("off-platen");
        var json = shop.Json("check", "sail.png", "--setup", Setup).ShouldExit(0).Json;
        ((double)json["effectivePpi"]!).ShouldBe(ppi);
        json["art"]!["ppi"].ShouldBeNull();

        var run = shop.Run("dry-run", "measure.csx", "sail.png", "--setup", Setup).ShouldExit(0).Out;
        run.ShouldContain(words);
        run.ShouldContain(string.Create(CultureInfo.InvariantCulture, $"{ppi} px to the inch, {ppi} ppi"));
        run.ShouldContain($" {area}   100,100,60,60");

        shop.Run("ticket", "sail.png", "-o", "ticket.html", "--setup", Setup).ShouldExit(0);
        Page("ticket.html").ShouldContain($"; no resolution stated, so {why}");
        Page("ticket.html").ShouldContain(size.Replace(" x ", " × ", StringComparison.Ordinal));
        foreach (string page in new[] { Path.Combine("looked", "check.html"), Path.Combine("sail.png.dry-run", "report.html") })
        {
            Page(page).ShouldContain(words);
            Page(page).ShouldContain(string.Create(CultureInfo.InvariantCulture, $"Areas at {ppi} ppi."));
            Page(page).ShouldContain($">{area}<");
        }

    }

    private string Page(string name) => File.ReadAllText(shop.At(name));
}
