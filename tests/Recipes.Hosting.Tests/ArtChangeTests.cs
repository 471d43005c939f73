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

    private static Artwork Laid(Artwork art, int rows) => art.WithLayer(Layer.Separation("underbase", LayerIntent.Underbase, Ink(rows)));

    private static Plane<byte> Ink(int rows) => Plane<byte>.FromContiguous(20, 10, Enumerable.Range(0, 200).Select(i => (byte)(i < rows * 20 ? 255 : 0)).ToArray());
}
