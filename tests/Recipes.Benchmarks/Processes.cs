using System.Collections.Immutable;
using BenchmarkDotNet.Attributes;
using Recipes.Api;
using Recipes.Codecs;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;
using Recipes.Protocol;
using Recipes.Scripting;
using Recipes.Work;

namespace Recipes.Benchmarks;

/// <summary>What a run costs around its pixels: compiling, starting a worker, keeping a step.</summary>
public class Processes : IDisposable
{
    private const string Source = "Recipe.Title(\"Bench\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"white\");\n";
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-benchmarks-").FullName;
    private readonly Artwork art = Artwork.FromPixels(Arts.Make(20, photographic: true), 300);
    private readonly WorkerPool direct = new(WorkerLimits.Default), ahead = new(WorkerLimits.Default);
    private RecipeSource source = null!;
    private WorkFile work = null!;
    private Artwork opened = null!;
    private byte[] png = null!;
    private int head, number;

    [GlobalSetup]
    public void Setup()
    {
        // The cache of compiled recipes lies here, and nowhere else.
        Environment.SetEnvironmentVariable("HOME", folder);
        File.WriteAllText(Path.Combine(folder, "bench.csx"), Source);
        source = RecipeSource.Read("bench", Path.Combine(folder, "bench.csx"));
        ReadyRecipe.Compile(source, direct, CancellationToken.None);
        ahead.Expect("run", 1000);
        png = PngWriter.Encode(art.Flat);
        work = WorkFile.Create(Path.Combine(folder, "art.png.work"), new OriginalFile("art.png", [1, 2, 3], "PNG", []), art);
    }

    [GlobalCleanup]
    public void Dispose()
    {
        direct.Dispose();
        ahead.Dispose();
        work?.Dispose();
        Directory.Delete(folder, recursive: true);
        GC.SuppressFinalize(this);
    }

    // The pool has filled up again, as it has between two orders.
    [IterationSetup(Target = nameof(RunSmallInAWarmWorker))]
    public void Rest() => Thread.Sleep(2000);

    // And the art has just been opened: its first run reads it where the decoder left it.
    [IterationSetup(Targets = [nameof(RunLargeInAWarmWorker), nameof(RunLargeToTheFirstOverview)])]
    public void Open()
    {
        opened = new ArtFile("art.png", png, "").Decode(ahead, CancellationToken.None).Art;
        Rest();
    }

    [Benchmark]
    public object CompileInThisProcess() => RecipeCompiler.Compile(new CompileRequest($"// {number++}\n{Source}", []));

    [Benchmark]
    public object CompileInAWorker()
    {
        string path = Path.Combine(folder, $"bench{number++}.csx");
        File.WriteAllText(path, $"// {number}\n{Source}");
        return ReadyRecipe.Compile(RecipeSource.Read("bench", path), direct, CancellationToken.None);
    }

    [Benchmark]
    public object CompiledBefore() => ReadyRecipe.Compile(source, direct, CancellationToken.None);

    [Benchmark]
    public object RunSmallInAFreshWorker() => Run(direct, Small);

    [Benchmark]
    public object RunSmallInAWarmWorker() => Run(ahead, Small);

    [Benchmark]
    public object RunLargeInAWarmWorker() => Run(ahead, opened);

    // What a program that stays open does between a click and the first picture of the difference.
    [Benchmark]
    public object RunLargeToTheFirstOverview()
    {
        var run = Run(ahead, opened);
        return Overview.OfDiff(DiffPicture.Render(run.Before.Flat, run.After.Flat, Setups.Light.Ink), run.Before.Flat, run.After.Flat);
    }

    [Benchmark]
    public object CommitUndoRedo()
    {
        // One tile of it, another each time.
        int at = number++ % 900;
        var box = new Box(128 * (at % 30), 128 * (at / 30), 128, 128);
        int pixel = 0;
        var cursor = new RecipeRun(art, Setups.Light, new Dictionary<string, string>()).Art;
        cursor.Fill(Find.Where(art.Flat, _ => box.Contains(pixel % art.Width, pixel++ / art.Width)), new Rgba8(240, 124, 28), "edit");
        head = work.Commit("light-garment", head, Step(), cursor.Artwork);
        work.Undo("light-garment");
        work.Redo("light-garment");
        return head;
    }

    private static Artwork Small { get; } = Artwork.FromPixels(Plane<Rgba8>.OneValue(500, 500, Rgba8.White), 300);

    private RunResult Run(WorkerPool workers, Artwork on)
    {
        var recipe = ReadyRecipe.Compile(source, workers, CancellationToken.None);
        var setup = Setups.Light;
        var state = new ArtState
        {
            File = new ArtFile("art.png", [], ""), Art = on, Identity = new ArtIdentity("art.png", "", on.Width, on.Height, 300, "PNG", []), Step = 0,
            StateSha256 = "", Setup = setup, SetupIsFallback = false, Work = null,
        };
        return new RecipeRunner(workers, Guardrails.Default, CancellationToken.None).Run(recipe, state, ParameterValues.Resolve(recipe.Spec, [], 300, setup));
    }

    private static StepRecord Step() => new()
    {
        Recipe = "bench", RecipeVersion = 1, RecipeSha256 = new string('0', 64), RecipeTitle = "Bench", Parameters = ImmutableSortedDictionary<string, string>.Empty,
        SetupJson = SetupJson.Text(Setups.Light), SetupSha256 = new string('0', 64), At = DateTimeOffset.UnixEpoch, ReportJson = "{}",
    };
}
