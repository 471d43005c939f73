using Recipes.Imaging;

namespace Recipes.Cli.Tests;

/// <summary>fit-to-platen through the program: a declared size change as a step, its report, and back.</summary>
public sealed class FitToPlatenTests : IDisposable
{
    private static readonly Rgba8 Ink = new(34, 92, 140);
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_size_change_is_a_step_like_any_other()
    {
        shop.Write("pocket.json", """{ "platen": { "width": 3.5, "height": 3.5 }, "safeMargin": 0.25 }""");
        Picture.Write(shop.At("art.png"), 200, 100, (x, y) => x is >= 20 and < 180 && y is >= 20 and < 80 ? Ink : Rgba8.White, ppi: 72);
        var refused = shop.Json("dry-run", "fit-to-platen", "art.png", "--setup", "pocket.json", "--set", "width=2in").ShouldExit(5).Json;
        ((string)refused["problems"]![0]!["message"]!).ShouldContain("80 pixels per printed inch are below the floor of 150");

        var made = shop.Json("commit", "fit-to-platen", "art.png", "--setup", "pocket.json", "--set", "width=2in", "--set", "top=1in", "--set", "allow-low-resolution=true").ShouldExit(0).Json;
        made["changed"]!["pixels"].ShouldBeNull();
        ((bool)made["declared"]!["sizeChange"]!).ShouldBeTrue();
        foreach (var guard in made["guards"]!.AsArray())
        {
            ((string)guard!["outcome"]!).ShouldBe("clear");
            (guard["pixels"] is null).ShouldBe((string)guard["name"]! is not (Guardrails.PrintedBox or Guardrails.SizeChange or Guardrails.NothingPrints));
        }

        shop.Run("export", "art.png", "-o", "sized.png").ShouldExit(0);
        var (width, height, pixels) = Picture.Read(shop.At("sized.png"));
        (width, height).ShouldBe((1050, 1050));
        // The ink takes 600 x 225 px at 225,300, and the mixed edge up to three px more on each side.
        pixels[(412 * 1050) + 525].ShouldBe(Ink);
        pixels[(304 * 1050) + 229].ShouldBe(Ink);
        pixels[(295 * 1050) + 225].ShouldBe(Rgba8.White);
        pixels.Count(pixel => pixel != Rgba8.White).ShouldBeInRange(600 * 225, 606 * 231);

        shop.Run("commit", "fit-to-platen", "art.png", "--set", "width=1in").ShouldExit(7);
        // The size stays, so every pixel is judged: sized as a whole, the art would lose ink.
        var shrunk = shop.Run("dry-run", "fit-to-platen", "art.png", "--set", "width=1in").ShouldExit(6);
        shrunk.Err.ShouldStartWith("art.png: warning R6007: 'fit-to-platen' has run on this art, as step 1.");
        shrunk.Out.ShouldContain("This recipe ran on the art already: it was resampled, and lies on a platen of this size.");
        shrunk.Out.ShouldContain("To size or move what is printed, begin with the art as it came.");
        shrunk.Out.ShouldNotContain("--again");
        var idle = shop.Run("dry-run", "fit-to-platen", "art.png", "--set", "width=2in").ShouldExit(0);
        idle.Out.ShouldContain("  changed   nothing");
        idle.Out.ShouldContain("It fits already");
        idle.Out.ShouldNotContain("Keep it with");
        var tried = shop.Run("dry-run", "fit-to-platen", "art.png", "--set", "ppi=200", "--set", "allow-low-resolution=true").ShouldExit(0);
        tried.Err.ShouldContain("warning R6007: 'fit-to-platen' has run on this art, as step 1.");
        tried.Out.ShouldContain("commit --dry-run art.png.dry-run --again");
        shop.Run("commit", "--dry-run", "art.png.dry-run").ShouldExit(7);
        var again = shop.Json("commit", "--dry-run", "art.png.dry-run", "--again").ShouldExit(0).Json;
        ((int)again["step"]!, (double)again["resolution"]!["after"]!).ShouldBe((2, 200));
        shop.Run("undo", "art.png").ShouldExit(0);
        shop.Run("undo", "art.png").ShouldExit(0);
        shop.Run("export", "art.png", "-o", "sized.png", "--force").ShouldExit(0);
        Picture.Read(shop.At("sized.png")).Pixels.ShouldBe(Picture.Read(shop.At("art.png")).Pixels);
    }
}
