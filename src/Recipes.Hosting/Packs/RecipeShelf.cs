using System.Collections.Immutable;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Packs;

/// <summary>How a recipe that arrives stands to what is here.</summary>
public enum Arrival
{
    /// <summary>There is none of that name.</summary>
    New,

    /// <summary>Exactly this is here.</summary>
    Same,

    /// <summary>An earlier version is here, as it was added.</summary>
    Newer,

    /// <summary>The same version is here, as it was added, with another content.</summary>
    Changed,

    /// <summary>A later version is here, as it was added.</summary>
    Older,

    /// <summary>What is here was changed here since it was added.</summary>
    ChangedHere,

    /// <summary>The name belongs to a recipe that wasn't added: a shipped one, or one of the user's own.</summary>
    Taken,
}

/// <summary>One recipe that would be installed.</summary>
/// <param name="Recipe">The recipe.</param>
/// <param name="Arrival">How it stands to what is here.</param>
/// <param name="HereVersion">The version that is here, or null.</param>
/// <param name="Changes">What would change, file by file: a name, and the lines of its difference; no lines for pictures.</param>
/// <param name="Approval">What its lock file is worth in this house.</param>
public sealed record PlannedRecipe(
    PackedRecipe Recipe, Arrival Arrival, int? HereVersion, ImmutableArray<(string File, IReadOnlyList<string> Lines)> Changes, Approval Approval)
{
    /// <summary>True where it would take the place of something that mustn't go silently.</summary>
    public bool Conflicts => Arrival is Arrival.Older or Arrival.ChangedHere or Arrival.Taken;
}

/// <summary>The recipes that were added: each in a folder of its own in the user's data folder, with a note where it came from.</summary>
public sealed class RecipeShelf
{
    private const long LongestNote = 64 * 1024;
    private readonly string folder;
    private readonly ImmutableArray<string> others;

    /// <summary>A shelf.</summary>
    /// <param name="folder">The folder of added recipes.</param>
    /// <param name="others">The other folders of the recipe path, whose names are taken.</param>
    public RecipeShelf(string folder, IEnumerable<string> others)
    {
        this.folder = folder;
        this.others = [.. others.Where(other => Path.GetFullPath(other) != Path.GetFullPath(folder))];
    }

    /// <summary>The user's own.</summary>
    /// <exception cref="ProblemException">R8002: there is no home folder.</exception>
    public static RecipeShelf Own() => new(
        Path.Combine(UserFolders.Data
            ?? throw new ProblemException(Codes.OutputUnwritable, "There is no home folder to keep recipes in.", "Set HOME."), "recipes"),
        RecipePath.Folders(null));

    /// <summary>Every added recipe and where it came from, by name.</summary>
    public ImmutableSortedDictionary<string, string> Added() => Directory.Exists(folder)
        ? Directory.EnumerateDirectories(folder).Select(path => (Name: Path.GetFileName(path), From: Note(path).Text("from")))
            .Where(added => PlainName.IsOfFile(added.Name) && added.From is not null)
            .ToImmutableSortedDictionary(added => added.Name, added => added.From!, StringComparer.Ordinal)
        : ImmutableSortedDictionary<string, string>.Empty;

    /// <summary>
    /// What of a source an update of recipes that were added from it takes: those,
    /// and what a list among them needs that came from there too or isn't here.
    /// </summary>
    /// <param name="there">All that the source holds now.</param>
    /// <param name="from">The source.</param>
    /// <param name="names">The recipes and lists to update.</param>
    /// <exception cref="ProblemException">R6205: a list can't be read.</exception>
    public ImmutableArray<PackedRecipe> Newest(ImmutableArray<PackedRecipe> there, string from, IReadOnlyCollection<string> names)
    {
        ArgumentNullException.ThrowIfNull(names);
        var added = Added();
        string[] needed = [.. there.Where(recipe => names.Contains(recipe.Name)).SelectMany(recipe => recipe.Listed)];
        var here = others.Append(folder).Where(Directory.Exists).SelectMany(RecipePath.In).Select(found => found.Name).ToHashSet();
        return [.. there.Where(recipe => names.Contains(recipe.Name)
            || (needed.Contains(recipe.Name) && (added.TryGetValue(recipe.Name, out string? source) ? source == from : !here.Contains(recipe.Name))))];
    }

    /// <summary>The hash of an added recipe's source and snippets, or of a list's text, lower-case hex.</summary>
    /// <exception cref="ProblemException">R2 codes, R6205: it can't be read.</exception>
    public string Sha256Of(PackedRecipe recipe)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        string path = Path.Combine(folder, recipe.Name, recipe.Name);
        return recipe.IsList ? RecipeList.Read(path + RecipeList.Ending).Sha256 : RecipeSource.Read(recipe.Name, path + ".csx").Sha256;
    }

    /// <summary>Says what installing these would do. Nothing is written.</summary>
    /// <exception cref="ProblemException">R2 codes: a recipe can't be read; R6103: an approval that comes with one doesn't hold.</exception>
    public ImmutableArray<PlannedRecipe> Plan(IEnumerable<PackedRecipe> recipes, House house)
    {
        ImmutableArray<PackedRecipe> arriving = [.. recipes];
        return [.. arriving.Select(recipe => Plan(recipe, arriving, house))];
    }

    /// <summary>Refuses what would silently undo something; the name of a recipe that wasn't added is never taken.</summary>
    /// <exception cref="ProblemException">R6203, one for each.</exception>
    public static void RefuseConflicts(IEnumerable<PlannedRecipe> plan, bool force)
    {
        var refused = plan.Where(planned => planned.Arrival == Arrival.Taken || (!force && planned.Conflicts)).ToList();
        if (refused.Count > 0)
        {
            throw new ProblemException([.. refused.Select(Conflict)]);
        }
    }

    /// <summary>Installs what is new or differs: all of it, or nothing where one can't be written.</summary>
    /// <param name="plan">What was shown.</param>
    /// <param name="from">Where it came from, for a later update.</param>
    /// <param name="force">True: also what is older here or was changed here.</param>
    /// <exception cref="ProblemException">R6203 a conflict; R8002 it can't be written.</exception>
    public void Install(ImmutableArray<PlannedRecipe> plan, string from, bool force)
    {
        RefuseConflicts(plan, force);
        AtomicFile.CreateFolder(folder);
        string staging = Path.Combine(folder, $".adding-{Guid.NewGuid():N}");
        var moved = new Stack<(string Staged, string To, string Old)>();
        bool done = false;
        try
        {
            var wanted = plan.Where(planned => planned.Arrival != Arrival.Same).ToList();
            foreach (var planned in wanted)
            {
                Write(planned.Recipe, Path.Combine(staging, "new", planned.Recipe.Name), from);
            }

            Directory.CreateDirectory(Path.Combine(staging, "old"));
            foreach (string name in wanted.Select(planned => planned.Recipe.Name))
            {
                string staged = Path.Combine(staging, "new", name), to = Path.Combine(folder, name), old = Path.Combine(staging, "old", name);
                moved.Push((staged, to, old));
                if (Directory.Exists(to))
                {
                    Directory.Move(to, old);
                }

                Directory.Move(staged, to);
            }

            done = true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.OutputUnwritable, $"The recipes can't be written: {e.Message}",
                "Check the folder, its permissions and its room.", new Place(folder), e);
        }
        finally
        {
            Finish(staging, done ? [] : moved);
        }
    }

    // What was moved comes back, last first; where even that fails, the old ones stay in the staging folder and aren't deleted.
    private static void Finish(string staging, Stack<(string Staged, string To, string Old)> back)
    {
        try
        {
            foreach (var (staged, to, old) in back)
            {
                // A folder that another program put there meanwhile isn't ours to remove.
                if (!Directory.Exists(staged) && Directory.Exists(to))
                {
                    Directory.Delete(to, recursive: true);
                }

                if (Directory.Exists(old))
                {
                    Directory.Move(old, to);
                }
            }

            if (Directory.Exists(staging))
            {
                Directory.Delete(staging, recursive: true);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            Serilog.Log.Warning(e, "Left {Folder} behind", staging);
        }
    }

    private PlannedRecipe Plan(PackedRecipe recipe, IReadOnlyCollection<PackedRecipe> arriving, House house)
    {
        var approval = Judge(recipe, arriving, house);
        string here = Path.Combine(folder, recipe.Name);
        if (File.Exists(here + ".csx") || File.Exists(here + RecipeList.Ending) || File.Exists(here)
            || others.Any(other => RecipePath.In(other).Concat(RecipePath.ListsIn(other)).Any(found => found.Name == recipe.Name)))
        {
            return new PlannedRecipe(recipe, Arrival.Taken, null, [], approval);
        }

        if (!Directory.Exists(here))
        {
            return new PlannedRecipe(recipe, Arrival.New, null, [], approval);
        }

        var (held, untouched) = Held(recipe.Name, here);
        var arrival = held is not null && held.IsList != recipe.IsList ? Arrival.Taken
            : !untouched && !recipe.Same(held) ? Arrival.ChangedHere
            : held is null ? Arrival.ChangedHere
            : recipe.Same(held) ? Arrival.Same
            : recipe.Version.CompareTo(held.Version) switch { > 0 => Arrival.Newer, < 0 => Arrival.Older, _ => Arrival.Changed };
        return new PlannedRecipe(recipe, arrival, held?.Version, Changes(held, recipe), approval);
    }

    // What lies here, and whether it is what was added; null where it is nothing that could have been added.
    private static (PackedRecipe? Recipe, bool Untouched) Held(string name, string here)
    {
        var files = ImmutableSortedDictionary.CreateBuilder<string, byte[]>(StringComparer.Ordinal);
        foreach (var entry in new DirectoryInfo(here)
            .EnumerateFileSystemInfos("*", new EnumerationOptions { RecurseSubdirectories = true, AttributesToSkip = 0 }).Prepend(new DirectoryInfo(here)))
        {
            if (entry.LinkTarget is not null || files.Count > PackedRecipe.MostFiles)
            {
                return (null, false);
            }

            string file = Path.GetRelativePath(here, entry.FullName).Replace('\\', '/');
            if (entry is FileInfo && file != PackedRecipe.NoteName)
            {
                files[file] = RecipeFiles.Content(entry.FullName, here);
            }
        }

        var recipe = PackedRecipe.Checked(name, files.ToImmutable()).Recipe;
        return (recipe, recipe is not null && Note(here).Text("sha256") == recipe.Sha256);
    }

    private static ImmutableArray<(string, IReadOnlyList<string>)> Changes(PackedRecipe? held, PackedRecipe recipe)
    {
        var before = held?.Files ?? ImmutableSortedDictionary<string, byte[]>.Empty;
        return [.. before.Keys.Union(recipe.Files.Keys).Order(StringComparer.Ordinal)
            .Where(file => !before.GetValueOrDefault(file, []).AsSpan().SequenceEqual(recipe.Files.GetValueOrDefault(file, [])))
            .Select(file => (file, file.EndsWith(".png", StringComparison.Ordinal) ? [] : SourceDiff.Between(Text(before, file), Text(recipe.Files, file))))];

        static string Text(ImmutableSortedDictionary<string, byte[]> files, string file) => Encoding.UTF8.GetString(files.GetValueOrDefault(file, []));
    }

    /// <summary>What the lock file of a packed recipe or list is worth in a house.</summary>
    /// <param name="recipe">The recipe or list.</param>
    /// <param name="arriving">What comes with it: a list's recipes are those, else the ones that are here.</param>
    /// <param name="house">The house.</param>
    /// <exception cref="ProblemException">R2 codes, R6205: it can't be read.</exception>
    public static Approval ApprovalOf(PackedRecipe recipe, IReadOnlyCollection<PackedRecipe> arriving, House house)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        ArgumentNullException.ThrowIfNull(arriving);
        // Read as it would lie here, in a folder that only this user can enter.
        string trial = Directory.CreateTempSubdirectory("recipes-add-").FullName;
        try
        {
            if (!recipe.IsList)
            {
                return Approval.Of(Laid(recipe), house);
            }

            Write(recipe, Path.Combine(trial, recipe.Name), null);
            var list = RecipeList.Read(Path.Combine(trial, recipe.Name, recipe.Name + RecipeList.Ending));
            if (!recipe.Files.ContainsKey(recipe.LockName))
            {
                return Approval.Of(list, [], house);
            }

            var recipes = new List<RecipeSource>();
            foreach (string name in list.Recipes.Select(listed => listed.Name))
            {
                if (arriving.FirstOrDefault(one => one.Name == name && !one.IsList) is { } comes)
                {
                    recipes.Add(Laid(comes));
                }
                else if (RecipePath.All(null).Where(found => found.Name == name).ToList() is [var here])
                {
                    recipes.Add(RecipeSource.Read(name, here.File));
                }
                else
                {
                    return new Approval(ApprovalState.Void, $"its recipe '{name}' neither comes with it nor is here");
                }
            }

            return Approval.Of(list, recipes, house);
        }
        finally
        {
            Finish(trial, []);
        }

        RecipeSource Laid(PackedRecipe one)
        {
            Write(one, Path.Combine(trial, one.Name), null);
            return RecipeSource.Read(one.Name, Path.Combine(trial, one.Name, one.Name + ".csx"));
        }
    }

    private static Approval Judge(PackedRecipe recipe, IReadOnlyCollection<PackedRecipe> arriving, House house) => ApprovalOf(recipe, arriving, house)
        is var approval && approval.State != ApprovalState.Void ? approval : throw new ProblemException(
            Codes.ApprovalVoid, $"The approval that comes with '{recipe.Name}' doesn't hold: {approval.Words}.",
            "Nothing was installed. Ask whoever sent it; don't use it until that is explained.", new Place(recipe.Name));

    private static void Write(PackedRecipe recipe, string to, string? from)
    {
        foreach (var (name, content) in recipe.Files)
        {
            string path = Path.Combine([to, .. name.Split('/')]);
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            using var stream = new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.None);
            stream.Write(content);
            stream.Flush(flushToDisk: true);
        }

        if (from is not null)
        {
            File.WriteAllText(Path.Combine(to, PackedRecipe.NoteName),
                new JsonObject { ["from"] = from, ["version"] = recipe.Version, ["sha256"] = recipe.Sha256 }
                    .ToJsonString(new JsonSerializerOptions { WriteIndented = true, NewLine = "\n" }) + "\n");
        }
    }

    private static JsonObject? Note(string path) => OutsideJson.ReadFile(Path.Combine(path, PackedRecipe.NoteName), LongestNote);

    private static Problem Conflict(PlannedRecipe planned)
    {
        var (name, version) = (planned.Recipe.Name, planned.Recipe.Version);
        var (message, hint) = planned.Arrival switch
        {
            Arrival.Older => ($"Version {planned.HereVersion} of '{name}' is here; what came is older, version {version}.",
                "Leave it out by naming the others, or add --force to go back."),
            Arrival.ChangedHere => ($"'{name}' was changed here since it was added, so version {version} would undo that.",
                "Keep the change under another name first, or add --force to take the new one."),
            _ => ($"A recipe or list '{name}' is here that wasn't added: one name can't be in two places.",
                "Leave it out by naming the others, or rename one of the two."),
        };
        return new Problem(Codes.RecipeHere, message, $"Nothing was installed. {hint}", new Place(name));
    }
}
