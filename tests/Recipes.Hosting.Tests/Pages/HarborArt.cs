using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;

namespace Recipes.Hosting.Tests.Pages;

/// <summary>
/// The harbor fun run at any size: a puffin with white belly, black wings and orange beak beside a white sail, on white
/// with some dust; and what recipes would make of it.
/// </summary>
internal static class HarborArt
{
    public static readonly Rgba8 Printed = new(254, 254, 254);

    // All shapes in units of a 100 x 114 sheet.
    private enum Part { Paper, Dust, Belly, Wing, Beak, Sail, Mast, Water, Eye, Speck }

    public static (Plane<Rgba8> Before, Plane<Rgba8> After) Draw(int width, int height, bool black)
    {
        var before = new Rgba8[width * height];
        var after = new Rgba8[width * height];
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                var part = At(x * 100.0 / width, y * 114.0 / height, x, y);
                before[(y * width) + x] = part switch
                {
                    Part.Paper or Part.Belly or Part.Sail or Part.Eye => Rgba8.White,
                    Part.Dust => new Rgba8(250, 250, 249),
                    Part.Wing => new Rgba8(14, 14, 15),
                    Part.Beak or Part.Speck => new Rgba8(240, 120, 32),
                    Part.Mast => new Rgba8(92, 64, 42),
                    _ => new Rgba8(34, 92, 140),
                };
                after[(y * width) + x] = part switch
                {
                    Part.Dust => Rgba8.ClearWhite,
                    Part.Belly or Part.Sail => Printed,
                    Part.Wing when black => Rgba8.Black,
                    Part.Speck => new Rgba8(240, 121, 32),
                    _ => before[(y * width) + x],
                };
            }
        }

        var first = Plane<Rgba8>.FromContiguous(width, height, before);
        return (first, Plane<Rgba8>.FromContiguous(width, height, after, first));
    }

    public static RunReport Report(Plane<Rgba8> before, Plane<Rgba8> after, GarmentSetup setup, string outside = "Make enclosed whites printable")
    {
        InkCount was = InkCount.Of(before, setup.Ink), now = InkCount.Of(after, setup.Ink);
        int w = before.Width, h = before.Height;
        Box Scaled(int x, int y, int width, int height) => new(x * w / 100, y * h / 114, width * w / 100, height * h / 114);
        return new RunReport
        {
            Ground = new Ground(ArtKind.OnPaper, Rgba8.White, new Box(0, 0, before.Width, before.Height)),
            Recipe = new RecipeIdentity("printable-whites", 1, new string('a', 64), outside),
            Art = new ArtIdentity("orders/harbor-fun-run.png", new string('b', 64), w, h, 300, "PNG, 8-bit RGBA", []),
            FromStep = 0,
            Parameters = ImmutableSortedDictionary<string, string>.Empty.Add("smallest", "0mm2").Add("where", "enclosed"),
            Setup = setup,
            Change = new ArtChange(ArtworkDiff.Between(before, after), new InkChange(was, now, Math.Max(0, now.Prints - was.Prints), Math.Max(0, was.Prints - now.Prints)), ColorMoves.Of(before, after), null, null),
            Declared = new DeclaredCount(1200, 0, 0, 0, false),
            Guards = [.. Guardrails.Names.Select(name => new GuardResult(name, GuardPolicy.Protect, 0, GuardOutcome.Clear, null, ""))],
            Notes = [$"{outside}: two regions will print"],
            Regions = [new ReportedRegions("enclosed white", [
                new ReportedRegion(1, Scaled(66, 20, 24, 56), 70_000, true),
                new ReportedRegion(2, Scaled(35, 31, 4, 4), 800, false),
                new ReportedRegion(3, Scaled(24, 44, 24, 46), 90_000, true)])],
            Colors = [new ReportedColors("near black", [new ReportedColor(new Rgba8(14, 14, 15), 4_000)], 2)],
        };
    }

    private static Part At(double u, double v, int x, int y)
    {
        if (Oval(u, v, 37, 33, 1.6, 1.6))
        {
            return Oval(u, v, 37, 33, .8, .8) ? Part.Wing : Part.Eye;
        }

        if (Oval(u, v, 36, 67, 12, 23))
        {
            return Part.Belly;
        }

        if (v is > 30 and < 40 && u > 44 && u < 58 - (Math.Abs(v - 35) * 1.6))
        {
            // One spot in the beak changes by one level.
            return Oval(u, v, 49, 35, .04, .04) ? Part.Speck : Part.Beak;
        }

        if (Oval(u, v, 36, 64, 20, 32) || Oval(u, v, 37, 33, 11, 11))
        {
            return Part.Wing;
        }

        if (v > 96)
        {
            return v < 104 + (2 * Math.Sin(u / 4)) && u is > 8 and < 94 ? Part.Water : Part.Paper;
        }

        if (u is > 64 and < 65.5 && v > 16)
        {
            return Part.Mast;
        }

        if (v is > 20 and < 78 && u > 65.5 && u < 66 + ((v - 20) * .44))
        {
            bool edge = u > 64.8 + ((v - 20) * .44) || v > 76.8;
            return edge ? Part.Mast : Part.Sail;
        }

        return (((x * 7349) ^ (y * 9151)) & 0x7FFF) < 2 ? Part.Dust : Part.Paper;
    }

    private static bool Oval(double u, double v, double x, double y, double a, double b) =>
        ((u - x) * (u - x) / (a * a)) + ((v - y) * (v - y) / (b * b)) <= 1;
}
