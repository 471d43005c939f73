using System.Security.Cryptography;
using System.Text;
using Recipes.Checking;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Runs;

/// <summary>A recipe that was compiled in a worker and passed the metadata check here.</summary>
/// <param name="Source">Where it came from.</param>
/// <param name="Spec">What it says about itself.</param>
/// <param name="Checked">Its checked assembly.</param>
public sealed record ReadyRecipe(RecipeSource Source, RecipeSpec Spec, CheckedRecipe Checked)
{
    private const int MostCached = 256;
    private const long LongestAnswer = MetadataCheck.LargestAssembly + Message.Longest + 1024;

    // Everything that decides what a source compiles to: compiler, allow-list, API. Their files are small.
    private static readonly Lazy<string> Toolchain = new(() =>
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        string folder = WorkerProgram.Installed.Folder;
        foreach (string file in (string[])["recipes-worker.deps.json", "recipes-worker.dll", "Recipes.Api.dll",
            "Recipes.Checking.dll", "Recipes.Imaging.dll", "Recipes.Scripting.dll"])
        {
            hash.AppendData(SHA256.HashData(File.ReadAllBytes(Path.Combine(folder, file))));
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());
    });

    internal static string ToolchainSha256 => Toolchain.Value;

    /// <summary>The recipe as reports name it.</summary>
    public RecipeIdentity Identity => new(Source.Name, Spec.Version, Source.Sha256, Spec.Title);

    /// <summary>Compiles a recipe, or takes the compiled one from the cache; checks it either way.</summary>
    /// <exception cref="ProblemException">R2 and R4 codes; R6101.</exception>
    public static ReadyRecipe Compile(RecipeSource source, WorkerPool workers, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(workers);
        ShippedRecipes.RefuseUnconfined(source);
        var cache = new UserCache("compiled", MostCached);
        string key = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes($"{source.Name}\n{source.Sha256}\n{Toolchain.Value}")));
        if (cache.Get(key) is { } entry && FromCache(source, entry) is { } cached)
        {
            return cached;
        }

        var (spec, assembly) = CompileInWorker(source, workers, cancel);
        var ready = new ReadyRecipe(source, spec, Check(assembly, source.Path));
        cache.Put(key, ToCache(spec, assembly));
        return ready;
    }

    private static CheckedRecipe Check(byte[] assembly, string fileName)
    {
        var problems = MetadataCheck.Check(assembly, fileName, out var recipe);
        return recipe ?? throw new ProblemException(problems);
    }

    private static (RecipeSpec Spec, byte[] Assembly) CompileInWorker(RecipeSource source, WorkerPool workers, CancellationToken cancel)
    {
        try
        {
            return workers.Ask(new WorkerJob<(RecipeSpec, byte[])>("compile", workers.Limits.UsualMemory, LongestAnswer,
                stream => Message.Write(stream, new CompileRequest(source.Text, source.Loads)),
                stream => ReadAnswer(stream, source)), cancel);
        }
        catch (WorkerException e)
        {
            string why = e.End switch
            {
                WorkerEnd.OutOfTime => $"compiling it took longer than {workers.Limits.Time.TotalSeconds:0.###} s",
                WorkerEnd.OutOfMemory => "compiling it took more memory than the limit",
                WorkerEnd.ForbiddenCall => "it made the compiler try what it may not do",
                WorkerEnd.StackOverflow => "it is nested too deeply for the compiler",
                _ => $"the compiler ended unexpectedly ({e.Message})",
            };
            throw new ProblemException(Codes.TooLarge, $"The recipe can't be compiled: {why}.",
                "Make the recipe simpler, or raise the limit that was reached (--time-limit, --memory-limit).", new Place(source.Path), e);
        }
    }

    /// <summary>Reads a worker's answer as what it is: data from a stranger.</summary>
    /// <exception cref="FrameException">It breaks the rules.</exception>
    /// <exception cref="ProblemException">It tells a problem.</exception>
    internal static (RecipeSpec Spec, byte[] Assembly) ReadAnswer(Stream stream, RecipeSource source)
    {
        var reply = Message.Read<CompileReply>(stream);
        if (reply.Problems.Length > 0)
        {
            throw WorkerAnswer.Problems(reply.Problems, source.PlaceOf, "R2");
        }

        return (Bounded(reply.Spec ?? throw new FrameException("it answered with neither a compiled recipe nor a reason")),
            Frame.Read(stream, Frame.Bytes, MetadataCheck.LargestAssembly));
    }

    private static RecipeSpec Bounded(RecipeSpec spec)
    {
        bool fits = spec.Version is >= 1 and <= 1_000_000
            && !spec.Parameters.IsDefault && spec.Parameters.Length <= RecipeSpec.MostParameters
            && spec.Parameters.All(parameter => Enum.IsDefined(parameter.Type) && PlainName.Is(parameter.Name)
                && !parameter.Choices.IsDefault && parameter.Choices.Length <= 64)
            && spec.Parameters.Select(parameter => parameter.Name).Distinct().Count() == spec.Parameters.Length;
        // A field that is left out comes as nothing, whatever its default.
        if (!fits || spec.Expects is not { } expects)
        {
            throw new FrameException("The recipe's parameters are out of bounds.");
        }

        return spec with
        {
            Title = CleanText.Line(spec.Title, 200),
            Purpose = CleanText.Line(spec.Purpose, RecipeSpec.LongestText),
            Example = CleanText.Line(spec.Example, RecipeSpec.LongestText),
            RunOnce = CleanText.Line(spec.RunOnce, 500),
            LeavesBare = CleanText.Line(spec.LeavesBare, 500),
            Expects = new ExpectationSpec(CleanText.Line(expects.Setup, 500), CleanText.Line(expects.Mode, 20),
                CleanText.Line(expects.Smallest, 20), CleanText.Line(expects.Largest, 20)),
            Parameters = [.. spec.Parameters.Select(parameter => parameter with
            {
                Default = CleanText.Line(parameter.Default, 200),
                Help = CleanText.Line(parameter.Help, 500),
                Choices = [.. parameter.Choices.Select(choice => CleanText.Line(choice, 80))],
            })],
        };
    }

    private static byte[] ToCache(RecipeSpec spec, byte[] assembly)
    {
        using var stream = new MemoryStream();
        Message.Write(stream, new CompileReply([], spec));
        Frame.Write(stream, Frame.Bytes, assembly);
        return stream.ToArray();
    }

    private static ReadyRecipe? FromCache(RecipeSource source, byte[] entry)
    {
        try
        {
            using var stream = new MemoryStream(entry);
            var spec = Bounded(Message.Read<CompileReply>(stream).Spec ?? throw new FrameException("No parameters."));
            return new ReadyRecipe(source, spec, Check(Frame.Read(stream, Frame.Bytes, MetadataCheck.LargestAssembly), source.Path));
        }
        catch (FrameException)
        {
            return null;
        }
    }
}
