using CsCheck;
using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>remove-halo: what was composited over a background and cut out comes back.</summary>
public class RemoveHaloTests
{
    private const int Side = 96;
    private static readonly Rgba8 Sea = new(34, 92, 140);

    private static Plane<Rgba8> Of(Func<int, int, Rgba8> rule) =>
        Plane<Rgba8>.FromContiguous(Side, Side, Enumerable.Range(0, Side * Side).Select(i => rule(i % Side, i / Side)).ToArray());

    // A disc with an edge of one px, colored by a slow ramp around a color.
    private static double Coverage(int x, int y) => Math.Clamp(30.5 - Math.Sqrt(((x - 47.3) * (x - 47.3)) + ((y - 48.1) * (y - 48.1))), 0, 1);

    private static byte Level(double value) => (byte)Math.Round(value, MidpointRounding.AwayFromZero);

    // Source-over (W3C Compositing and Blending Level 1) on an opaque backdrop.
    private static Rgba8 Over(Rgba8 art, double alpha, Rgba8 ground) => new(
        Level((art.R * alpha) + (ground.R * (1 - alpha))), Level((art.G * alpha) + (ground.G * (1 - alpha))), Level((art.B * alpha) + (ground.B * (1 - alpha))));

    [Fact]
    public void Art_with_known_alpha_over_any_background_gives_back_its_colors()
    {
        var colors = Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b) => new Rgba8(r, g, b));
        Gen.Select(colors, colors, Gen.Bool).Sample((color, ground, black) =>
        {
            // Where art and background are nearly alike nothing shows, and nothing can be told.
            if (color.LargestDifference(ground) < 60)
            {
                return;
            }

            var setup = black ? Shelf.Black : Shelf.Light;
            Rgba8 True(int x, int y) => color.WithAlpha(Level(Coverage(x, y) * 255));
            var cut = Of((x, y) => True(x, y) is { A: > 0 } art ? Over(art, art.A / 255.0, ground).WithAlpha(art.A) : Rgba8.ClearWhite);
            var made = Shelf.Run("remove-halo", cut, setup, ("background", $"{ground}"));
            made.ShouldBeClear();
            var pixels = made.Pixels;
            for (int i = 0; i < pixels.Length; i++)
            {
                var art = True(i % Side, i / Side);
                pixels[i].A.ShouldBe(art.A);
                if (art.A > 0)
                {
                    // Half a level of the seen color by 1/a, half a level for rounding the result, one for a nudge to what prints.
                    double bound = (0.5 * 255 / art.A) + 1.5;
                    ((double)pixels[i].LargestDifference(art)).ShouldBeLessThanOrEqualTo(bound, $"{color} on {ground} at {i % Side},{i / Side}: {cut[i % Side, i / Side]}");
                }
            }
        }, iter: 60);
    }

    [Theory]
    [InlineData("#ffffff")]
    [InlineData("#f0dc32")]
    [InlineData("#141414")]
    public void Art_on_a_flat_background_gets_the_alpha_it_was_drawn_with(string background)
    {
        Rgba8.TryParse(background, out var ground).ShouldBeTrue();
        var flat = Of((x, y) => Over(Sea, Coverage(x, y), ground));
        foreach (var setup in new[] { Shelf.Light, Shelf.Black })
        {
            var made = Shelf.Run("remove-halo", flat, setup, ("background", background));
            if (background == "#ffffff")
            {
                made.ShouldBeClear();
            }
            else
            {
                // A dark or strongly colored ground is no paper that the host can tell from art, so somebody has to say that it goes.
                made.ShouldBeClearBut(Guardrails.InkMostlyLost, GuardOutcome.Refused);
            }

            var pixels = made.Pixels;
            for (int i = 0; i < pixels.Length; i++)
            {
                double coverage = Coverage(i % Side, i / Side);
                // Within 4 levels of the background counts as background.
                if (flat[i % Side, i / Side].LargestDifference(ground) <= 4)
                {
                    pixels[i].A.ShouldBe((byte)0);
                }
                else
                {
                    // A rounded pixel lies within half a level of its place on a line of over 70 levels; 0.98 and more counts as full.
                    (pixels[i].A / 255.0).ShouldBe(coverage, 0.021);
                    ((double)pixels[i].WithAlpha(255).LargestDifference(Sea)).ShouldBeLessThanOrEqualTo(coverage > 0.97 ? 5 : (1 / coverage) + 2, $"at {i % Side},{i / Side}");
                }
            }
        }
    }

    [Fact]
    public void A_hard_cut_loses_its_rim_and_keeps_everything_further_in()
    {
        // Cut out at half coverage, so the rim is opaque and pale; a white shape inside and a pale pixel further in stay.
        var cut = Of((x, y) => Coverage(x, y) is var c && c < 0.3 ? Rgba8.ClearWhite : (x, y) == (47, 30) ? new Rgba8(144, 174, 198) : x is > 40 and < 50 && y is > 40 and < 50 ? Rgba8.White : Over(Sea, c, Rgba8.White));
        var made = Shelf.Run("remove-halo", cut, Shelf.Black);
        made.ShouldBeClear();
        var pixels = made.Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            int x = i % Side, y = i / Side;
            var was = cut[x, y];
            if (Coverage(x, y) is >= 0.3 and < 0.97)
            {
                pixels[i].WithAlpha(255).LargestDifference(Sea).ShouldBeLessThanOrEqualTo(5, $"at {x},{y}: {was} became {pixels[i]}");
                (pixels[i].A / 255.0).ShouldBe(Coverage(x, y), 0.02);
            }
            else if (Coverage(x, y) == 1)
            {
                pixels[i].ShouldBe(was);
            }
        }
    }

    [Fact]
    public void A_clean_edge_stays_as_it_is()
    {
        var clean = Of((x, y) => Coverage(x, y) > 0 ? Sea.WithAlpha(Level(Coverage(x, y) * 255)) : Rgba8.ClearWhite);
        var made = Shelf.Run("remove-halo", clean, Shelf.Black);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
    }

    [Fact]
    public void Art_with_neither_transparency_nor_that_background_is_declined()
    {
        var thrown = Should.Throw<Recipes.Problems.ProblemException>(() => Shelf.Run("remove-halo", Plane<Rgba8>.OneValue(Side, Side, Sea), Shelf.Light));
        thrown.Problems[0].Code.ShouldBe(Recipes.Problems.Codes.RecipeDeclined);
    }

    [Fact]
    public void White_art_trimmed_on_transparency_is_no_background()
    {
        // A white block that touches the border; most of the border is transparent.
        var trimmed = Of((x, y) => x < 20 && y is > 30 and < 60 ? new Rgba8(254, 254, 254) : Rgba8.ClearWhite);
        var made = Shelf.Run("remove-halo", trimmed, Shelf.Light);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
    }
}
