using System.Security;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Editing;

/// <summary>A recipe that is to be begun.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Parent">The folder that its own comes into; empty for paths without one.</param>
public sealed record NewRecipeRequest(string Name, string Parent)
{
    /// <summary>True: the recipe's folder is there, and only the editor's files in it are made anew.</summary>
    public bool EditorOnly { get; init; }
}

/// <summary>A folder with a recipe to begin with, a test case, and what an editor needs.</summary>
public static class NewRecipe
{
    /// <summary>The folder of the editor's files: of one machine, made again at will, and not shared.</summary>
    public const string EditorFolder = ".editor";

    private const long LargestAnswer = 64 * 1024 * 1024, LargestReference = 16 * 1024 * 1024;
    private const int MostReferences = 32;

    /// <summary>Makes <c>NAME/</c> with all that belongs to it, or the editor's files of one.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="request">Which.</param>
    /// <param name="workers">For the editor's references.</param>
    /// <returns>The files, as paths; of the editor's the folder.</returns>
    /// <exception cref="ProblemException">R1001 no name for a recipe; R1003 a recipe on the path has the name; R8001 the folder exists;
    /// R1002 there is no such recipe to make the editor's files of; R8002 it can't be written.</exception>
    public static IReadOnlyList<string> Make(Shop shop, NewRecipeRequest request, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(request);
        var (name, parent) = request;
        return shop.Progress.During($"Making {name}", () => request.EditorOnly
            ? [MakeEditorFiles(name, parent, workers, shop.Cancel)] : Make(name, parent, workers, shop.Cancel));
    }

    private static IReadOnlyList<string> Make(string name, string parent, WorkerPool workers, CancellationToken cancel)
    {
        string folder = FolderOf(name, parent);
        if (Path.Exists(folder))
        {
            throw new ProblemException(Codes.OutputExists, $"{folder} exists already.",
                $"Choose another name. 'recipes new {name} --editor' makes only the editor's files of it anew.", new Place(folder));
        }

        if (RecipePath.All(null).Concat(RecipePath.Lists(null)).FirstOrDefault(found => found.Name == name) is { } taken)
        {
            throw new ProblemException(Codes.RecipeInTwoPlaces,
                $"There is a {(RecipePath.IsShipped(taken.File) ? "shipped recipe" : "recipe")} '{name}' already: {taken.File}.",
                "Choose another name: where two recipes of one name are found, neither runs.", new Place(taken.File));
        }

        // Whole or not at all: made beside, then renamed.
        string made = Path.Combine(Path.GetDirectoryName(Path.GetFullPath(folder))!, $".{name}.{Guid.NewGuid():N}.tmp");
        try
        {
            Directory.CreateDirectory(made);
            Write(made, $"{name}.csx", Text("recipe.csx.txt").Replace("NAME", name, StringComparison.Ordinal));
            Write(made, "cases/first.json", Text("first.json"));
            Write(made, $"{name}.csproj", Text("recipe.csproj.txt"));
            Write(made, ".gitignore", $"{EditorFolder}/\nbin/\nobj/\n");
            WriteEditorFiles(made, workers, cancel);
            Directory.Move(made, folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.OutputUnwritable, $"{folder} can't be written: {e.Message.Replace(made, folder, StringComparison.Ordinal)}",
                "Check that the folder may be written to, and has room.", new Place(folder), e);
        }
        finally
        {
            Remove(made);
        }

        return [.. new[] { $"{name}.csx", "cases/first.json", $"{name}.csproj", ".gitignore" }.Select(file => Path.Combine(folder, file)),
            Path.Combine(folder, EditorFolder)];
    }

    private static string MakeEditorFiles(string name, string parent, WorkerPool workers, CancellationToken cancel)
    {
        string folder = FolderOf(name, parent), recipe = Path.Combine(folder, name + ".csx");
        if (!File.Exists(recipe))
        {
            throw new ProblemException(Codes.UnknownRecipe, $"There is no recipe {recipe}.", $"'recipes new {name}' makes one.", new Place(recipe));
        }

        WriteEditorFiles(folder, workers, cancel);
        if (!File.Exists(Path.Combine(folder, name + ".csproj")))
        {
            Write(folder, $"{name}.csproj", Text("recipe.csproj.txt"));
        }

        return Path.Combine(folder, EditorFolder);
    }

    private static string FolderOf(string name, string parent) => PlainName.IsOfFile(name)
        ? Path.Combine(parent, name)
        : throw new ProblemException(Codes.BadUsage, $"'{CleanText.Line(name, 80)}' is no name for a recipe.",
            "Use small letters, digits and dashes, for instance sail-check.");

    private static void WriteEditorFiles(string folder, WorkerPool workers, CancellationToken cancel)
    {
        var references = References(workers, cancel);
        string editor = Path.Combine(folder, EditorFolder), documentation = Path.Combine(ProgramFolder.Root, "share", "editor");
        foreach (string own in (string[])[editor, Path.Combine(editor, "references")])
        {
            // A recipe's folder may come from anybody, and these files take the place of others without asking.
            if (new DirectoryInfo(own).LinkTarget is not null)
            {
                throw new ProblemException(Codes.OutputUnwritable, $"{own} can't be written: it is a link.",
                    "Remove it; the editor's files are made again.", new Place(own));
            }
        }

        foreach (var (file, image) in references)
        {
            string path = Path.Combine(editor, "references", file);
            AtomicFile.CreateFolder(Path.GetDirectoryName(path)!);
            AtomicFile.Write(path, stream => stream.Write(image));
            string words = Path.Combine(documentation, Path.ChangeExtension(file, ".xml"));
            if (File.Exists(words))
            {
                AtomicFile.Write(Path.ChangeExtension(path, ".xml"), stream => stream.Write(File.ReadAllBytes(words)));
            }
        }

        string parents = SecurityElement.Escape(string.Join('|', RecipePath.SnippetParents().Select(Path.GetFullPath)));
        Write(editor, "recipe.targets", Text("recipe.targets"));
        Write(editor, "editor.props", $"""
            <Project>
              <PropertyGroup>
                <RecipeSnippetParents>{parents}</RecipeSnippetParents>
              </PropertyGroup>
              <Import Project="recipe.targets" />
            </Project>

            """);
    }

    // A worker makes them, which has the compiler's references. It gets nothing from outside, but its answer is judged as any other's.
    private static List<(string File, byte[] Image)> References(WorkerPool workers, CancellationToken cancel)
    {
        try
        {
            return workers.Ask(
                new WorkerJob<List<(string, byte[])>>(
                    "editor", workers.Limits.UsualMemory, LargestAnswer, stream => Frame.Write(stream, Frame.Bytes, []), ReadReferences),
                cancel);
        }
        catch (WorkerException e)
        {
            throw new ProblemException(Codes.WorkerDied, $"The editor's files couldn't be made: {e.Message}.",
                "Try again; 'recipes doctor' tells what this machine lacks.", null, e);
        }
    }

    private static List<(string File, byte[] Image)> ReadReferences(Stream stream)
    {
        var references = new List<(string, byte[])>();
        while (Encoding.UTF8.GetString(Frame.Read(stream, Frame.Bytes, 100)) is { Length: > 0 } name)
        {
            if (references.Count == MostReferences || !name.EndsWith(".dll", StringComparison.Ordinal)
                || !name.All(c => char.IsAsciiLetterOrDigit(c) || c == '.'))
            {
                throw new FrameException("A reference has a name that none has.");
            }

            references.Add((name, Frame.Read(stream, Frame.Bytes, LargestReference)));
        }

        return references;
    }

    private static void Write(string folder, string name, string text)
    {
        string path = Path.Combine([folder, .. name.Split('/')]);
        AtomicFile.CreateFolder(Path.GetDirectoryName(path)!);
        AtomicFile.Write(path, stream => stream.Write(Encoding.UTF8.GetBytes(text.ReplaceLineEndings("\n"))));
    }

    private static void Remove(string folder)
    {
        try
        {
            if (Directory.Exists(folder))
            {
                Directory.Delete(folder, recursive: true);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            Serilog.Log.Debug(e, "The half-made folder couldn't be removed");
        }
    }

    private static string Text(string name)
    {
        using var stream = typeof(NewRecipe).Assembly.GetManifestResourceStream(name)!;
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd();
    }
}
