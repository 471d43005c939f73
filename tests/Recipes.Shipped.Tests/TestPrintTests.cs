using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>test-print: the box keeps its pixels, everything else is bare, and the layer can be switched off.</summary>
public class TestPrintTests
{
    private const int Width = 1300, Height = 900;
    private static readonly Rgba8 Ink = new(34, 92, 140), Orange = new(240, 124, 28), Night = new(14, 15, 20);

    // Three colors side by side, and the same blue far away; at 300 ppi the first three fit into an inch, all into no 2 in.
    private static Rgba8 At(int x, int y) =>
        In(x, y, 150, 150, 90, 90) ? Ink : In(x, y, 240, 150, 90, 90) ? Orange : In(x, y, 150, 240, 180, 90) ? Night
        : In(x, y, 900, 500, 380, 380) ? Ink : Rgba8.White;

    private static bool In(int x, int y, int left, int top, int width, int height) => x >= left && x < left + width && y >= top && y < top + height;

    private static readonly Plane<Rgba8> Art = Plane<Rgba8>.FromContiguous(Width, Height, Enumerable.Range(0, Width * Height).Select(i => At(i % Width, i / Width)).ToArray());

    private static void ShouldKeepOnly(Outcome made, Box box)
    {
        var pixels = made.Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            int x = i % Width, y = i / Width;
            pixels[i].ShouldBe(box.Contains(x, y) || At(x, y) == Rgba8.White ? At(x, y) : Rgba8.ClearWhite, $"{x},{y}");
        }

        // Most of the ink goes, as the recipe says of itself.
        made.ShouldBeClearBut(Guardrails.InkMostlyLost, GuardOutcome.Allowed);
    }

    [Fact]
    public void A_given_box_keeps_its_pixels_and_all_else_is_bare()
    {
        var made = Shelf.Run("test-print", Art, Shelf.Light, ("box", "200,100,500,450"));
        ShouldKeepOnly(made, new Box(200, 100, 500, 450));
        made.Run.Reporter.Notes[0].ShouldStartWith("The test is the box 200,100,500,450 px, 1.67 x 1.50 in. It shows ");
        made.Run.Reporter.Notes.Count.ShouldBe(2);
    }

    [Fact]
    public void Auto_finds_a_box_of_two_inches_or_less_that_shows_all_there_is()
    {
        var made = Shelf.Run("test-print", Art, Shelf.Light);
        var kept = made.Run.Art.Find.Where(pixel => Shelf.Light.Ink.StateOf(pixel) == InkState.Prints).Bounds.ShouldNotBeNull();
        kept.Within(new Box(150, 150, 180, 180)).ShouldBe(kept);
        // All three colors are in it.
        Array.ForEach([Ink, Orange, Night], color => made.Pixels.ShouldContain(color));
        made.Run.Reporter.Notes[1].ShouldBe("It leaves out nothing of what a test is for.");
        made.ShouldBeClearBut(Guardrails.InkMostlyLost, GuardOutcome.Allowed);
    }

    [Fact]
    public void The_art_is_untouched_under_a_layer_that_can_be_switched_off()
    {
        var made = Shelf.Run("test-print", Art, Shelf.Light, ("box", "200,100,500,450"));
        var layers = made.Run.Art.Artwork.Layers;
        layers.Select(layer => layer.Name).ShouldBe(["original", "test print"]);
        layers[0].ShouldBeSameAs(made.Before.Layers[0]);
        made.Run.Art.Artwork.WithLayers([layers[0], layers[1].WithVisible(false)]).Flat.SameSamples(Art).ShouldBeTrue();
    }

    [Fact]
    public void Bare_black_is_left_out_on_black()
    {
        var art = Plane<Rgba8>.FromContiguous(Width, Height, Art.ToContiguous().Select(pixel => pixel == Night ? Rgba8.Black : pixel).ToArray());
        var made = Shelf.Run("test-print", art, Shelf.Black);
        made.Run.Reporter.Notes.ShouldAllBe(note => !note.Contains("#000000"));
        made.ShouldBeClearBut(Guardrails.InkMostlyLost, GuardOutcome.Allowed);
    }

    [Theory]
    [InlineData("auto", "Nothing prints, so there is nothing to test.")]
    [InlineData("10,10,50,50", "Nothing in the box prints.")]
    public void Nothing_to_print_is_declined(string box, string reason)
    {
        var art = box == "auto" ? Plane<Rgba8>.OneValue(300, 300, Rgba8.White) : Art;
        Should.Throw<Exception>(() => Shelf.Run("test-print", art, Shelf.Light, ("box", box))).ToString().ShouldContain(reason);
    }
}
