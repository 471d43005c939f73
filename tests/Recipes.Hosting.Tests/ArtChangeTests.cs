using Recipes.Hosting.Reports;
using Recipes.Imaging;

namespace Recipes.Hosting.Tests;

/// <summary>What differs between two states: counted by hand on a small art, white ink included.</summary>
public class ArtChangeTests
{
    private static readonly InkRules Rules = new();
    private static readonly Artwork Art = Artwork.FromPixels(Plane<Rgba8>.OneValue(20, 10, new Rgba8(200, 60, 40)));

    [Fact]
    public void White_ink_counts_where_other_planes_are_in_force()
    {
        // Rows of 20 px: three of them get white.
        var laid = Laid(Art, 3);
        ArtChange.Between(Art, laid, Rules).White.ShouldBe(60);
        ArtChange.Between(laid, Laid(laid, 2), Rules).White.ShouldBe(40);
        ArtChange.Between(laid, laid.WithLayer(Layer.Separation("second", LayerIntent.SecondPass, Ink(1))), Rules).White.ShouldBe(60);
        ArtChange.Between(laid, Art, Rules).White.ShouldBe(0);
        ArtChange.Between(Art, laid, Rules).Pixels.ShouldBe(ArtworkDiff.None);
    }

    // Two files, or a file that is read twice: the planes are never the same objects.
    [Fact]
    public void Equal_planes_are_no_change_whoever_laid_them()
    {
        ArtChange.Between(Laid(Art, 3), Laid(Art, 3), Rules).White.ShouldBeNull();
        ArtChange.Between(Art, Art, Rules).White.ShouldBeNull();
    }

    [Fact]
    public void Another_size_leaves_nothing_to_compare()
    {
        var change = ArtChange.Between(Art, Artwork.FromPixels(Plane<Rgba8>.OneValue(10, 10, Rgba8.White)), Rules);
        (change.Pixels, change.Moves.Length, change.Ink.Before.Prints, change.Ink.After.Prints).ShouldBe((null, 0, 200, 0));
    }

    // A PNG file states whole pixels per meter (PNG 3rd edition, 11.3.4.3): 72 per inch are 2835 there, and 2835 are 72.009.
    [Theory]
    [InlineData(72d, 72.01, false)]
    [InlineData(72d, 72.04, true)]
    [InlineData(300d, 299.9994, false)]
    [InlineData(299.9994, 300d, false)]
    [InlineData(300d, 300.03, true)]
    [InlineData(300d, null, true)]
    [InlineData(null, 72d, true)]
    [InlineData(null, null, false)]
    public void Another_resolution_is_a_change_of_its_own(double? before, double? after, bool differs)
    {
        Artwork was = Artwork.FromPixels(Art.Flat, before), now = Artwork.FromPixels(Art.Flat, after);
        var change = ArtChange.Between(was, now, Rules);
        (change.Pixels, change.White).ShouldBe((ArtworkDiff.None, null));
        change.Resolution.ShouldBe(differs ? new ResolutionChange(before, after) : null);
        var report = Pages.HarborArt.Report(Art.Flat, Art.Flat, new GarmentSetup { Name = "light-garment", PlatenWidth = 14, PlatenHeight = 16 });
        (report with { Change = change }).ChangesNothing.ShouldBe(!differs);
    }

    private static Artwork Laid(Artwork art, int rows) => art.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, Ink(rows)));

    private static Plane<byte> Ink(int rows) => Plane<byte>.FromContiguous(20, 10, Enumerable.Range(0, 200).Select(i => (byte)(i < rows * 20 ? 255 : 0)).ToArray());
}
