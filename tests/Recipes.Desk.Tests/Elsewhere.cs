using Recipes.Hosting.Arts;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Work;

namespace Recipes.Desk.Tests;

/// <summary>The same use cases without a page: what the command line does meanwhile, and what a page has to agree with.</summary>
internal static class Elsewhere
{
    public const string Light = "light-garment", Whites = "printable-whites";

    public static Shop Shop => new() { Clock = TimeProvider.System, Cancel = TestContext.Current.CancellationToken };

    /// <summary>Makes the whites printable and keeps that, by the day shift.</summary>
    public static void Keep(string path)
    {
        using var workers = new WorkerPool(WorkerLimits.Default);
        ReadyRun.Find(Shop, new TryRequest(new RecipeRequest(Whites) { ToKeep = true }, new ArtReference(path) { Setup = Light }), workers,
            run => Hosting.Steps.Keep.Run(Shop, run, path + ".work", new KeepOptions("day-shift"))).IsNew.ShouldBeTrue();
    }

    /// <summary>What a try of printable-whites makes of the art as it came.</summary>
    public static Rgba8[] Try(string path, params string[] sets)
    {
        using var workers = new WorkerPool(WorkerLimits.Default);
        return ReadyRun.Find(Shop, new TryRequest(new RecipeRequest(Whites) { Sets = sets }, new ArtReference(path) { Setup = Light, Original = true }),
            workers, run => run.Run(Shop).Whole.After.Flat.ToContiguous());
    }

    /// <summary>What is kept of the art now.</summary>
    public static Rgba8[] Kept(string path)
    {
        using var workers = new WorkerPool(WorkerLimits.Default);
        using var open = OpenArt.Of(Shop, new ArtReference(path) { Setup = Light });
        return open.State(workers).Art.Flat.ToContiguous();
    }

    /// <summary>The art's steps.</summary>
    public static WorkLine Line(string path) => ArtHistory.Of(Shop, path, null).Setups.Single(setup => setup.Line.Setup == Light).Line;

    /// <summary>A pixel of a picture that was written.</summary>
    public static Rgba8 Pixel(string picture, int x, int y)
    {
        using var workers = new WorkerPool(WorkerLimits.Default);
        return ArtFile.ReadPicture(picture).Decode(workers, TestContext.Current.CancellationToken).Art.Flat[x, y];
    }
}
