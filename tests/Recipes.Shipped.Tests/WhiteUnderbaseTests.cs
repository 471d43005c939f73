using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Shipped.Tests;

/// <summary>white-underbase on a drawing of which every pixel's white is known by how it is drawn. Rules about color and cloth: common practice, no source.</summary>
public class WhiteUnderbaseTests
{
    private const int Side = 160;
    private static readonly Rgba8 Orange = new(240, 124, 28), Sail = new(254, 254, 254), Shadow = new(51, 40, 30);
    private static readonly GarmentSetup Dark = Shelf.Black with { Underbase = Underbase.File };

    // A block of orange with a sail of printable white, a shadow and black that drops in it, and a hair of 1 px that stands alone.
    private static Rgba8 At(int x, int y) => (x, y) switch
    {
        ( >= 40 and < 70, >= 40 and < 70) => Sail,
        ( >= 80 and < 110, >= 40 and < 70) => Shadow,
        ( >= 80 and < 110, >= 80 and < 110) => Rgba8.Black,
        ( >= 30 and < 120, >= 30 and < 120) => Orange,
        (140, >= 20 and < 130) => Orange,
        _ => Rgba8.ClearWhite,
    };

    private static readonly Plane<Rgba8> Art = Plane<Rgba8>.FromContiguous(Side, Side, Enumerable.Range(0, Side * Side).Select(i => At(i % Side, i / Side)).ToArray());

    private static bool Prints(int x, int y) => At(x, y) is { A: > 0 } color && color != Rgba8.Black;

    // The choke by its definition: 2 px from the edge, which lies half a px before the center of the nearest pixel that doesn't print; a
    // pixel that it cuts keeps the part that is left. The hair keeps its white.
    private static double Held(int x, int y)
    {
        if (x == 140 || !Prints(x, y))
        {
            return Prints(x, y) ? 1 : 0;
        }

        double nearest = Enumerable.Range(0, 49).Select(i => (U: (i % 7) - 3, V: (i / 7) - 3)).Where(to => !Prints(x + to.U, y + to.V))
            .Select(to => Math.Sqrt((to.U * to.U) + (to.V * to.V))).DefaultIfEmpty(9).Min();
        return Math.Clamp(nearest - 2, 0, 1);
    }

    private static void ShouldHold(Plane<byte>? plane, Func<int, int, byte> white)
    {
        plane.ShouldNotBeNull();
        for (int i = 0; i < Side * Side; i++)
        {
            plane[i % Side, i / Side].ShouldBe(white(i % Side, i / Side), $"{i % Side},{i / Side}");
        }
    }

    // 51 is two fifths of 127.5, from which on a color gets all.
    private static byte First(int x, int y) => Level(255 * Held(x, y), At(x, y) == Shadow ? 0.4 : 1);

    private static byte Level(double held, double part) =>
        (byte)Math.Round(Math.Round(held, MidpointRounding.AwayFromZero) * part, MidpointRounding.AwayFromZero);

    [Fact]
    public void White_lies_under_what_prints_and_none_where_black_drops()
    {
        var made = Shelf.Run("white-underbase", Art, Dark, ("choke", "2px"));
        ShouldHold(made.Run.Art.Artwork.Underbase, First);
        made.Run.Art.Artwork.SecondPass.ShouldBeNull();
        made.Run.Art.Artwork.Flat.ShouldBeSameAs(made.Before.Flat);
        made.ShouldBeClear();
    }

    [Fact]
    public void The_second_pass_lies_under_art_white_alone()
    {
        var made = Shelf.Run("white-underbase", Art, Dark, ("choke", "2px"), ("second-pass", "true"), ("strength", "80"));
        ShouldHold(made.Run.Art.Artwork.Underbase, (x, y) => Level(255 * Held(x, y), At(x, y) == Shadow ? 0.32 : 0.8));
        ShouldHold(made.Run.Art.Artwork.SecondPass, (x, y) => At(x, y) == Sail ? (byte)204 : (byte)0);
        made.Run.Art.Artwork.Flat.ShouldBeSameAs(made.Before.Flat);
        made.ShouldBeClear();
    }

    [Fact]
    public void Run_again_it_chokes_no_further_and_takes_the_second_pass_off()
    {
        var once = Shelf.Run("white-underbase", Art, Dark, ("choke", "2px"), ("second-pass", "true"));
        Shelf.Run("white-underbase", once.Run.Art.Artwork, Dark, ("choke", "2px"), ("second-pass", "true")).Run.Art.Artwork.ShouldBeSameAs(once.Run.Art.Artwork);
        var without = Shelf.Run("white-underbase", once.Run.Art.Artwork, Dark, ("choke", "2px"));
        ShouldHold(without.Run.Art.Artwork.Underbase, First);
        without.Run.Art.Artwork.SecondPass.ShouldBeNull();
    }

    [Fact]
    public void White_cloth_gets_none_and_the_machines_underbase_is_left_to_it()
    {
        var made = Shelf.Run("white-underbase", Art, Dark with { Garment = Rgba8.White }, ("second-pass", "true"));
        ShouldHold(made.Run.Art.Artwork.Underbase, (_, _) => 0);
        ShouldHold(made.Run.Art.Artwork.SecondPass, (_, _) => 0);
        Should.Throw<ProblemException>(() => Shelf.Run("white-underbase", Art, Dark with { Underbase = Underbase.Machine })).Problems[0].Code.ShouldBe(Codes.RecipeDeclined);
        var none = Should.Throw<ProblemException>(() => Shelf.Run("white-underbase", Art, Dark with { Underbase = Underbase.None })).Problems[0];
        (none.Code, none.Message.Contains("no white ink is laid", StringComparison.Ordinal)).ShouldBe((Codes.RecipeDeclined, true));
    }
}
