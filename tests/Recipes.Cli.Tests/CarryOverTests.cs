using System.Text.Json.Nodes;
using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Cli.Tests;

/// <summary>
/// An art that is sent again: moved, scaled, saved with losses, or with one element changed. The drawing is a rule, so which
/// pixel is which white is known without asking the program.
/// </summary>
public sealed class CarryOverTests : IDisposable
{
    private enum Spot
    {
        Paper,
        Ink,
        Smudge,
        Belly,
        Hole,
        Sail,
        Added,
    }

    private const string Setup = "light-garment";
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Moved_scaled_or_saved_with_losses_the_answers_hold()
    {
        KeepOld();
        // Its work file is enough.
        File.Delete(shop.At("old.png"));
        Write("moved.png", 520, 420, 1, 83, 61);
        Write("scaled.png", 600, 450, 1.5, 0, 0);
        Write("both.png", 500, 500, 0.7, 190, 240);
        Jpeg("old-copy.png", "mailed.jpg");
        foreach (var (name, scale, x, y) in new[] { ("moved.png", 1.0, 83, 61), ("scaled.png", 1.5, 0, 0), ("both.png", 0.7, 190, 240) })
        {
            var json = Carry(name).ShouldExit(0).Json;
            json["steps"]!.AsArray().Select(step => (int)step!["step"]!).ShouldBe([1, 2]);
            foreach (var (spot, pixel) in Exported(name, scale, x, y))
            {
                ShouldBeAnswered(spot, pixel);
            }
        }

        Carry("mailed.jpg").ShouldExit(0);
        var (width, _, pixels) = Export("mailed.jpg");
        foreach (var (spot, x, y) in new[] { (Spot.Belly, 90, 80), (Spot.Hole, 230, 90), (Spot.Sail, 140, 210) })
        {
            ShouldBeAnswered(spot, pixels[(y * width) + x]);
        }

        var origin = shop.Json("history", "mailed.jpg").ShouldExit(0).Json["setups"]![0]!["steps"]![0]!["carriedOver"]!;
        ((string)origin["art"]!, (int)origin["step"]!, (string)origin["by"]!).ShouldBe(("old.png", 1, "night-shift"));
    }

    [Fact]
    public void Turned_on_its_side_the_answers_hold_and_a_warning_says_so()
    {
        KeepOld();
        // A quarter turn to the right: what was at x,y of 400 x 300 is at 300 - y,x.
        Picture.Write(shop.At("turned.png"), 300, 400, (x, y) => ColorOf(At(y, 299 - x, 1, 0, 0, false), belly: true));
        var answer = Carry("turned.png").ShouldExit(0);
        answer.Codes.ShouldBe(["R6013"]);
        var placement = answer.Json["steps"]![0]!["carried"]![0]!["placement"]!;
        ((int)placement["turned"]!, (bool)placement["mirrored"]!).ShouldBe((90, false));
        var (width, _, pixels) = Export("turned.png");
        foreach (var (i, pixel) in pixels.Index())
        {
            ShouldBeAnswered(At(i / width, 299 - (i % width), 1, 0, 0, false), pixel);
        }
    }

    [Fact]
    public void What_was_changed_is_asked_about_before_anything_is_kept()
    {
        KeepOld();
        Write("new.png", 400, 300, 1, 0, 0, added: true);
        var before = shop.Snapshot();
        shop.Json("carry-over", "old.png", "new.png", "--set", "nobody.except=1").ShouldFail(2, "R1004");
        shop.Json("carry-over", "old.png", "old.png").ShouldFail(2, "R1001");
        shop.Json("carry-over", "old.png", "new.png", "--setup", "black-garment").ShouldFail(2, "R6008");
        shop.Snapshot().ShouldBe(before);

        var asked = Carry("new.png").ShouldFail(7, "R6009").Json;
        shop.Snapshot().Where(file => !file.Key.StartsWith("new.png.carry-over", StringComparison.Ordinal)).ShouldBe(before);
        File.Exists(shop.At("new.png.carry-over/diff.png")).ShouldBeTrue();
        var region = asked["questions"]!.AsArray().Single()!["regions"]!.AsArray().Single()!;
        // A circle of radius 28 around 340,70: the only white that wasn't there; its top row makes it number 1.
        ((int)region["number"]!).ShouldBe(1);
        region["box"]!.AsArray().Select(side => (int)side!).ShouldBe([312, 42, 56, 56]);

        // The hole was region 2 and is 3; with the new one in it, too, both stay bare.
        var option = asked["questions"]![0]!["options"]!.AsArray().Single()!;
        ((string)option["without"]!).ShouldBe("--set printable-whites.except=3");
        ((string)option["with"]!).ShouldBe("--set printable-whites.except=1,3");
        string[] answer = ((string)option["with"]!).Split(' ');
        shop.Json(["carry-over", "old.png", "new.png", "--show", .. answer]).ShouldExit(0);
        File.Exists(shop.At("new.png.work")).ShouldBeFalse();
        Carry("new.png", answer).ShouldExit(0);
        foreach (var (spot, pixel) in Exported("new.png", 1, 0, 0, added: true))
        {
            ShouldBeAnswered(spot, pixel);
        }

        Carry("new.png").ShouldFail(7, "R6010");
    }

    [Fact]
    public void The_last_region_of_only_is_not_dropped_in_silence()
    {
        // Without a number, only means all; the hole would print.
        Write("old.png", 400, 300, 1, 0, 0);
        shop.Json("commit", "printable-whites", "old.png", "--setup", Setup, "--set", "only=1").ShouldExit(0);
        Write("new.png", 400, 300, 1, 0, 0, belly: false);
        var question = Carry("new.png").ShouldFail(7, "R6009").Json["questions"]!.AsArray().Single()!;
        question["regions"]!.AsArray().Select(region => ((int)region!["number"]!, (int)region["was"]!.AsArray().Single()!, (bool)region["chosen"]!)).ShouldBe([(1, 2, true), (2, 3, true)]);
    }

    [Fact]
    public void A_list_comes_over_as_the_step_that_it_was_kept_as()
    {
        Write("old.png", 400, 300, 1, 0, 0);
        shop.Write("two.recipes", "recipes-list 1\nclean-background\nprintable-whites except=2\n");
        shop.Json("commit", "two.recipes", "old.png", "--setup", Setup).ShouldExit(0);
        Write("new.png", 520, 420, 1, 83, 61);
        var step = Carry("new.png", "--recipes", ".").ShouldExit(0).Json["steps"]!.AsArray().Single()!;
        ((string)step["recipe"]!["name"]!, (string)step["parameters"]!["printable-whites.except"]!).ShouldBe(("two", "2"));
        foreach (var (spot, pixel) in Exported("new.png", 1, 83, 61))
        {
            ShouldBeAnswered(spot, pixel);
        }
    }

    [Fact]
    public void Another_source_of_the_recipe_is_told_and_its_numbers_count_only_where_it_gives_the_same()
    {
        const string mine = """
            var except = Param.RegionNumbers("except");
            var islands = Art.Find.PureWhite().Enclosed().Islands();
            var chosen = islands.Pick(island => !except.Contains(island.Number));
            Report.Regions("white", islands, chosen);
            Art.MakePrintable(chosen, layer: "white");
            """;
        Write("old.png", 400, 300, 1, 0, 0);
        shop.Write("mine.csx", mine);
        shop.Json("commit", "mine.csx", "old.png", "--setup", Setup, "--set", "except=1").ShouldExit(0);
        Write("new.png", 520, 420, 1, 83, 61);
        shop.Write("mine.csx", mine + "\n// The same in other words.\n");
        Carry("new.png", "--recipes", ".", "--show").ShouldExit(0).Codes.ShouldBe(["R6011"]);
        shop.Write("mine.csx", mine.Replace("except.Contains(island.Number)", "except.Contains(islands.Count + 1 - island.Number)", StringComparison.Ordinal));
        Carry("new.png", "--recipes", ".").ShouldFail(7, "R6009").Codes.ShouldBe(["R6009", "R6011"]);
    }

    // Two steps: the whites but for the hole, and a background without its smudge.
    private void KeepOld()
    {
        Write("old.png", 400, 300, 1, 0, 0);
        File.Copy(shop.At("old.png"), shop.At("old-copy.png"));
        shop.Json("commit", "printable-whites", "old.png", "--setup", Setup, "--set", "except=2", "--by", "night-shift").ShouldExit(0);
        shop.Json("commit", "clean-background", "old.png").ShouldExit(0);
    }

    private Answer Carry(string name, params string[] more) => shop.Json(["carry-over", "old.png", name, .. more]);

    private void Write(string name, int width, int height, double scale, int x, int y, bool added = false, bool belly = true) =>
        Picture.Write(shop.At(name), width, height, (px, py) => ColorOf(At(px, py, scale, x, y, added), belly));

    private static Rgba8 ColorOf(Spot spot, bool belly) => spot switch
    {
        Spot.Ink => new Rgba8(24, 48, 92),
        Spot.Belly when !belly => new Rgba8(24, 48, 92),
        Spot.Smudge => new Rgba8(252, 252, 252),
        _ => Rgba8.White,
    };

    private void Jpeg(string from, string to)
    {
        using var bitmap = SKBitmap.Decode(shop.At(from));
        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, 85);
        File.WriteAllBytes(shop.At(to), data.ToArray());
    }

    private (int Width, int Height, Rgba8[] Pixels) Export(string name)
    {
        shop.Json("export", name, "-o", "out.png", "--force").ShouldExit(0);
        return Picture.Read(shop.At("out.png"));
    }

    private IEnumerable<(Spot Spot, Rgba8 Pixel)> Exported(string name, double scale, int x, int y, bool added = false)
    {
        var (width, _, pixels) = Export(name);
        return pixels.Select((pixel, i) => (At(i % width, i / width, scale, x, y, added), pixel));
    }

    private static void ShouldBeAnswered(Spot spot, Rgba8 pixel)
    {
        var expected = spot switch
        {
            Spot.Belly or Spot.Sail => new Rgba8(254, 254, 254),
            Spot.Hole or Spot.Added => Rgba8.White,
            Spot.Paper or Spot.Smudge => new Rgba8(255, 255, 255, 0),
            _ => new Rgba8(24, 48, 92),
        };
        if (pixel != expected)
        {
            pixel.ShouldBe(expected, spot.ToString());
        }
    }

    // The drawing on 400 x 300, asked at the middle of a pixel.
    private static Spot At(int px, int py, double scale, int left, int top, bool added)
    {
        double x = (px + 0.5 - left) / scale, y = (py + 0.5 - top) / scale;
        double ring = Math.Sqrt(((x - 230) * (x - 230)) + ((y - 90) * (y - 90))), more = Math.Sqrt(((x - 340) * (x - 340)) + ((y - 70) * (y - 70)));
        return In(50, 50, 130, 110) ? Spot.Belly : In(40, 40, 140, 120) ? Spot.Ink
            : ring < 36 ? Spot.Hole : ring < 50 ? Spot.Ink
            : In(75, 175, 205, 245) ? Spot.Sail : In(60, 160, 220, 260) ? Spot.Ink
            : added && more < 28 ? Spot.Added : added && more < 40 ? Spot.Ink
            : In(290, 200, 350, 250) ? Spot.Smudge : Spot.Paper;

        bool In(double x1, double y1, double x2, double y2) => x >= x1 && x < x2 && y >= y1 && y < y2;
    }
}
