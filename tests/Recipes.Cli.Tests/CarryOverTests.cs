using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Cli.Tests;

/// <summary>An art that is sent again: exit codes, JSON, and what is written when. What becomes of its answers is tested in Hosting.</summary>
public sealed class CarryOverTests : IDisposable
{
    private const string Setup = "light-garment";
    private static readonly Rgba8 Printed = new(254, 254, 254);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Saved_with_losses_the_answers_hold_and_the_history_says_where_they_come_from()
    {
        KeepOld();
        Jpeg("old.png", "mailed.jpg");
        Carry("mailed.jpg").ShouldExit(0).Json["steps"]!.AsArray().Select(step => (int)step!["step"]!).ShouldBe([1, 2]);
        shop.Json("export", "mailed.jpg", "-o", "out.png").ShouldExit(0);
        var (width, _, pixels) = Picture.Read(shop.At("out.png"));
        foreach (var (x, y, color) in new[] { (90, 80, Printed), (230, 90, Rgba8.White), (140, 210, Printed) })
        {
            pixels[(y * width) + x].ShouldBe(color);
        }

        var origin = shop.Json("history", "mailed.jpg").ShouldExit(0).Json["setups"]![0]!["steps"]![0]!["carriedOver"]!;
        ((string)origin["art"]!, (int)origin["step"]!, (string)origin["by"]!).ShouldBe(("old.png", 1, "night-shift"));
    }

    [Fact]
    public void What_was_changed_is_asked_about_before_anything_is_kept()
    {
        KeepOld();
        Write("new.png", added: true);
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
        Carry("new.png").ShouldFail(7, "R6010");
    }

    // Two steps: the whites but for the hole, and a background without its smudge.
    private void KeepOld()
    {
        Write("old.png");
        shop.Json("commit", "printable-whites", "old.png", "--setup", Setup, "--set", "except=2", "--by", "night-shift").ShouldExit(0);
        shop.Json("commit", "clean-background", "old.png").ShouldExit(0);
    }

    private Answer Carry(string name, params string[] more) => shop.Json(["carry-over", "old.png", name, .. more]);

    private void Jpeg(string from, string to)
    {
        using var bitmap = SKBitmap.Decode(shop.At(from));
        using var data = bitmap.Encode(SKEncodedImageFormat.Jpeg, 85);
        File.WriteAllBytes(shop.At(to), data.ToArray());
    }

    // On 400 x 300: a framed white, a ring with a hole, another framed white, a smudge; and perhaps one more ring.
    private void Write(string name, bool added = false) => Picture.Write(shop.At(name), 400, 300, (px, py) =>
    {
        double x = px + 0.5, y = py + 0.5;
        double ring = Math.Sqrt(((x - 230) * (x - 230)) + ((y - 90) * (y - 90))), more = Math.Sqrt(((x - 340) * (x - 340)) + ((y - 70) * (y - 70)));
        bool ink = (In(40, 40, 140, 120) && !In(50, 50, 130, 110)) || ring is >= 36 and < 50 || (In(60, 160, 220, 260) && !In(75, 175, 205, 245))
            || (added && more is >= 28 and < 40);
        return ink ? new Rgba8(24, 48, 92) : In(290, 200, 350, 250) ? new Rgba8(252, 252, 252) : Rgba8.White;

        bool In(double x1, double y1, double x2, double y2) => x >= x1 && x < x2 && y >= y1 && y < y2;
    });
}
