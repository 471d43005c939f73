using CsCheck;

namespace Recipes.Imaging.Tests.Model;

public class ChangedRunsTests
{
    private const int Width = 9, Height = 5;

    [Fact]
    public void The_runs_tell_every_pixel_that_differs_once()
    {
        // Few values, so that runs are long and whole tiles of one value come up.
        var pixel = Gen.Byte[0, 1].Select(level => new Rgba8(level, 0, 0, 9));
        var tile = Gen.OneOf(pixel.Array[Width * Height], pixel.Select(one => Enumerable.Repeat(one, Width * Height).ToArray()));
        Gen.Select(tile, tile).Holds((before, after) =>
        {
            var told = new (Rgba8, Rgba8)?[Width * Height];
            int last = -1;
            foreach (var run in new ChangedRuns(Tile<Rgba8>.Freeze(Width, Height, before), Tile<Rgba8>.Freeze(Width, Height, after)))
            {
                run.Pixels.ShouldBe(run.Box.Width * run.Box.Height);
                int first = (run.Box.Y * Width) + run.Box.X;
                first.ShouldBeGreaterThan(last);
                last = ((run.Box.Bottom - 1) * Width) + run.Box.Right - 1;
                for (int y = run.Box.Y; y < run.Box.Bottom; y++)
                {
                    for (int x = run.Box.X; x < run.Box.Right; x++)
                    {
                        told[(y * Width) + x].ShouldBeNull();
                        told[(y * Width) + x] = (run.Before, run.After);
                    }
                }
            }

            told.ShouldBe(before.Zip(after).Select(pair => pair.First == pair.Second ? ((Rgba8, Rgba8)?)null : pair));
        }, iter: 2000);
    }

    [Fact]
    public void A_flat_tile_that_becomes_another_flat_tile_is_one_run()
    {
        var runs = new List<ChangedRun>();
        foreach (var run in new ChangedRuns(Tile<Rgba8>.OneValue(128, 96, Rgba8.White), Tile<Rgba8>.OneValue(128, 96, Rgba8.Black)))
        {
            runs.Add(run);
        }

        runs.ShouldBe([new ChangedRun(new Box(0, 0, 128, 96), Rgba8.White, Rgba8.Black)]);
    }

    [Fact]
    public void Color_under_transparency_is_a_difference_that_does_not_count()
    {
        new ChangedRun(new Box(0, 0, 1, 1), new Rgba8(1, 2, 3, 0), new Rgba8(4, 5, 6, 0)).Counts.ShouldBeFalse();
        new ChangedRun(new Box(0, 0, 1, 1), new Rgba8(1, 2, 3, 0), new Rgba8(1, 2, 3, 1)).Counts.ShouldBeTrue();
    }
}
