using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Trust;

/// <summary>Whether a recipe is approved.</summary>
public enum ApprovalState
{
    /// <summary>There is no lock file.</summary>
    None,

    /// <summary>Somebody signed exactly this, with a key that the house doesn't know.</summary>
    Foreign,

    /// <summary>The lock file is for something else, or its signature or key doesn't hold.</summary>
    Void,

    /// <summary>Signed with a key that the house trusts, and unchanged since.</summary>
    Approved,
}

/// <summary>What a test case gave, as far as an approval asks.</summary>
/// <param name="Passed">Whether it gave what it expects.</param>
/// <param name="Why">The case, and how it failed.</param>
/// <param name="TwoResults">That two runs differed, or null.</param>
public sealed record CaseVerdict(bool Passed, string Why, ProblemException? TwoResults);

/// <summary>What a recipe's lock file is worth.</summary>
/// <param name="State">Whether the recipe is approved.</param>
/// <param name="Words">Why, in a sentence without a full stop.</param>
public sealed record Approval(ApprovalState State, string Words)
{
    /// <summary>Judges a recipe's lock file against what was read of the recipe and what lies beside it now.</summary>
    public static Approval Of(RecipeSource source, House house) => Of(Subject.Of(source), house);

    /// <summary>Judges a list's lock file against the list and its recipes.</summary>
    public static Approval Of(RecipeList list, IReadOnlyList<RecipeSource> recipes, House house) => Of(Subject.Of(list, recipes), house);

    /// <summary>What each signature in a recipe's lock file is worth by itself; none where the lock file can't be read.</summary>
    public static ImmutableArray<(SignedApproval Signature, Approval Worth)> OfEach(RecipeSource source, House house) => OfEach(Subject.Of(source), house);

    /// <summary>What each signature in a list's lock file is worth by itself, likewise.</summary>
    public static ImmutableArray<(SignedApproval Signature, Approval Worth)> OfEach(
        RecipeList list, IReadOnlyList<RecipeSource> recipes, House house) => OfEach(Subject.Of(list, recipes), house);

    private static Approval Of(Subject subject, House house)
    {
        var (held, lacking) = Held(subject);
        return lacking ?? held!.Approvals.Select(approval => Judge(held, approval, house)).MaxBy(approval => approval.State)
            ?? new Approval(ApprovalState.Void, "its lock file has no signature");
    }

    private static ImmutableArray<(SignedApproval Signature, Approval Worth)> OfEach(Subject subject, House house)
    {
        var (held, lacking) = Held(subject);
        return held is null ? [] : [.. held.Approvals.Select(approval => (approval, lacking ?? Judge(held, approval, house)))];
    }

    // The lock file, and why none of its signatures counts, whoever signed.
    private static (RecipeLock? Held, Approval? Lacking) Held(Subject subject)
    {
        RecipeLock? held = null;
        try
        {
            held = RecipeLock.Read(RecipeLock.PathFor(subject.Path));
            return held is null ? (null, new Approval(ApprovalState.None, "it has no lock file, so nobody approved it"))
                : (held, Difference(held, subject) is { } difference ? new Approval(ApprovalState.Void, difference) : null);
        }
        catch (ProblemException e)
        {
            return (held, new Approval(ApprovalState.Void, char.ToLowerInvariant(e.Problems[0].Message[0]) + e.Problems[0].Message[1..].TrimEnd('.')));
        }
    }

    /// <summary>Refuses a recipe that may not keep a result here: the house demands approval, and it is neither approved nor shipped.</summary>
    /// <exception cref="ProblemException">R6102 not approved; R6103 the approval doesn't hold; R6105 the house's configuration can't be read.</exception>
    public static void Require(RecipeSource source) => Require(source, House.Read());

    /// <summary>Refuses a list that may not keep a result here: neither it nor each of its recipes is approved or shipped.</summary>
    /// <exception cref="ProblemException">R6102, R6103, R6105.</exception>
    public static void Require(RecipeList list, IReadOnlyList<RecipeSource> recipes) => Require(list, recipes, House.Read());

    internal static void Require(RecipeList list, IReadOnlyList<RecipeSource> recipes, House house)
    {
        // Whoever signed the list signed every byte of its recipes; whoever signed each recipe left the order to the press.
        if (house.RequiresApproval && Of(list, recipes, house).State != ApprovalState.Approved)
        {
            foreach (var recipe in recipes)
            {
                Require(recipe, house);
            }
        }
    }

    internal static void Require(RecipeSource source, House house)
    {
        if (!house.RequiresApproval || ShippedRecipes.Holds(source) || Of(source, house) is not { State: not ApprovalState.Approved } lacking)
        {
            return;
        }

        throw new ProblemException(lacking.State == ApprovalState.Void ? Codes.ApprovalVoid : Codes.NotApproved,
            $"This house keeps results of approved recipes only, and '{source.Name}' isn't one: {lacking.Words}.",
            "A dry run works. Have the recipe reviewed and approved: 'recipes approve'.", new Place(source.Path));
    }

    /// <summary>Signs a recipe as it stands and writes its lock file. Signatures of others over the same content stay.</summary>
    /// <param name="source">The recipe, which was compiled and checked.</param>
    /// <param name="version">The version that it states.</param>
    /// <param name="key">The key to sign with.</param>
    /// <param name="by">Who approves.</param>
    /// <param name="on">The day, UTC.</param>
    /// <param name="test">Runs its test cases; none may fail.</param>
    /// <exception cref="ProblemException">R1001 no name; R6204 a file that can't be approved; R6107 a case failed; R6111 two runs of one differ; R6110 a case
    /// changed meanwhile; R6109 another approval is at work; R6103 an earlier lock file can't be read; R8002 it can't be written.</exception>
    public static RecipeLock Give(
        RecipeSource source, int version, SigningKey key, string by, DateOnly on, Func<IReadOnlyCollection<CaseVerdict>> test) =>
        Give(Subject.Of(source), version, key, by, on, test);

    /// <summary>Signs a list with its recipes as they stand, likewise.</summary>
    /// <param name="list">The list.</param>
    /// <param name="recipes">Its recipes, compiled and checked.</param>
    /// <param name="key">The key to sign with.</param>
    /// <param name="by">Who approves.</param>
    /// <param name="on">The day, UTC.</param>
    /// <param name="test">Runs the test cases of all of them.</param>
    /// <exception cref="ProblemException">As for a recipe.</exception>
    public static RecipeLock Give(
        RecipeList list, IReadOnlyList<RecipeSource> recipes, SigningKey key, string by, DateOnly on, Func<IReadOnlyCollection<CaseVerdict>> test) =>
        Give(Subject.Of(list, recipes), 1, key, by, on, test);

    private static RecipeLock Give(Subject subject, int version, SigningKey key, string by, DateOnly on, Func<IReadOnlyCollection<CaseVerdict>> test)
    {
        ArgumentNullException.ThrowIfNull(key);
        ArgumentNullException.ThrowIfNull(test);
        var files = subject.Files();
        var cases = test();
        if (cases.Where(outcome => !outcome.Passed).ToList() is { Count: > 0 } failed)
        {
            throw new ProblemException(Codes.CasesFailed, string.Create(CultureInfo.InvariantCulture,
                $"{failed.Count} of the {subject.Kind}'s {cases.Count} test cases failed, so it isn't approved: {CleanText.Line(failed[0].Why, 500)}"),
                "Mend the recipe or the case, and look with 'recipes test'.", new Place(subject.Path));
        }

        if (cases.Select(outcome => outcome.TwoResults).FirstOrDefault(problem => problem is not null) is { } unsteady)
        {
            throw unsteady;
        }

        RefuseName(subject);
        string name = CleanText.Line(by, 80);
        if (name.Length == 0 || name != by)
        {
            throw new ProblemException(Codes.BadUsage, "'--by' takes a name of at most 80 characters.", "Write --by night-shift, for instance.");
        }

        // Cases are read from the disk each time; what is signed must be what was tested.
        if (!subject.Files().SequenceEqual(files))
        {
            throw new ProblemException(Codes.ChangedWhileApproved, $"A case of the {subject.Kind} changed while the cases ran, so it isn't approved.",
                "Look at what changed, and approve again.", new Place(subject.Path));
        }

        string count = cases.Count == 0 ? "none" : string.Create(CultureInfo.InvariantCulture, $"{cases.Count} passed");
        return Signed(subject, key, new RecipeLock { Recipe = subject.Name, IsList = subject.IsList, Version = version, Files = files },
            new SignedApproval(name, on, count, key.Public.Sha256, ""));
    }

    private static void RefuseName(Subject subject)
    {
        if (!PlainName.IsOfFile(subject.Name))
        {
            throw new ProblemException(Codes.UnfitFile, $"A {subject.Kind} called '{CleanText.Line(subject.Name, 80)}' can't be approved.",
                "Rename its file: small letters, digits and dashes.", new Place(subject.Path));
        }
    }

    private static RecipeLock Signed(Subject subject, SigningKey key, RecipeLock fresh, SignedApproval claim)
    {
        string path = RecipeLock.PathFor(subject.Path);
        // Two that read the same signatures and each add their own would leave one of the two.
        using var hold = HeldFile.TryHold(path, out var held) ? held
            : throw new ProblemException(Codes.ApprovalInUse, $"Another program is approving this {subject.Kind}.",
                "Try again when it is done; both signatures stay.", new Place(path));
        var others = Old(path) is { } old && (old with { Approvals = [] }).ToString() == fresh.ToString()
            ? old.Approvals.Where(approval => approval.Key != key.Public.Sha256) : [];
        var signed = fresh with { Approvals = [.. others, claim with { Signature = Convert.ToBase64String(key.Sign(fresh.SignedText(claim))) }] };
        if (signed.IsTooLong)
        {
            throw new ProblemException(Codes.UnfitFile, $"The {subject.Kind} has more files than a lock file lists.",
                "Approve its recipes one by one, or give them fewer cases.", new Place(subject.Path));
        }

        _ = RecipeLock.Parse(signed.ToString(), path);
        AtomicFile.Write(path, stream => stream.Write(Encoding.UTF8.GetBytes(signed.ToString())));
        return signed;

        static RecipeLock? Old(string path)
        {
            try
            {
                return RecipeLock.Read(path);
            }
            // A damaged one has no signature that holds. One that can't be read may have.
            catch (ProblemException e) when (e.InnerException is null)
            {
                return null;
            }
        }
    }

    private static string? Difference(RecipeLock held, Subject subject)
    {
        if (held.Recipe != subject.Name || held.IsList != subject.IsList)
        {
            return $"its lock file is that of another {(held.IsList ? "list" : "recipe")}, '{held.Recipe}'";
        }

        if (held.Api != RecipeLock.ApiVersion)
        {
            return $"it was approved for another version of this program: API {held.Api}, now {RecipeLock.ApiVersion}";
        }

        var now = subject.Files();
        return now.Except(held.Files).FirstOrDefault() is { } changed
            ? $"{changed.Name} {(held.Files.Any(file => file.Name == changed.Name) ? "changed" : "was added")} after it was approved"
            : held.Files.Except(now).FirstOrDefault() is { } gone ? $"{gone.Name} is gone since it was approved" : null;
    }

    private static Approval Judge(RecipeLock held, SignedApproval approval, House house)
    {
        ArgumentNullException.ThrowIfNull(house);
        var known = house.Keys.FirstOrDefault(key => key.Key.Sha256 == approval.Key);
        if (known is null)
        {
            return new Approval(ApprovalState.Foreign, $"it was signed by {approval.By} with a key that "
                + $"{(house.File is null ? "no house configuration here lists" : "the house doesn't list")}, {approval.Key[..16]}");
        }

        string by = string.Create(CultureInfo.InvariantCulture, $"approved by {approval.By} on {approval.On:yyyy-MM-dd} with the key {known.Key.Name}");
        if (known.Revoked is { } revoked)
        {
            return new Approval(ApprovalState.Void, string.Create(CultureInfo.InvariantCulture, $"it was {by}, which was revoked on {revoked:yyyy-MM-dd}"));
        }

        var signature = new Span<byte>(new byte[200]);
        // Base64 has bits that mean nothing; one text for one signature, or a changed byte could go unseen.
        if (!Convert.TryFromBase64String(approval.Signature, signature, out int length) || Convert.ToBase64String(signature[..length]) != approval.Signature
            || !known.Key.Verifies(held.SignedText(approval), signature[..length]))
        {
            return new Approval(ApprovalState.Void, $"the signature of {approval.By} is not by the key {known.Key.Name} over this text");
        }

        return known.Until < approval.On
            ? new Approval(ApprovalState.Void, string.Create(CultureInfo.InvariantCulture, $"it was {by}, which signs until {known.Until:yyyy-MM-dd} only"))
            : new Approval(ApprovalState.Approved, $"{by}, cases: {approval.Cases}");
    }

    // What is signed: a recipe, or a list with its recipes.
    private sealed record Subject(string Name, string Path, bool IsList, Func<ImmutableArray<LockedFile>> Files)
    {
        public string Kind => IsList ? "list" : "recipe";

        public static Subject Of(RecipeSource source)
        {
            ArgumentNullException.ThrowIfNull(source);
            return new Subject(source.Name, source.Path, false, () => RecipeFiles.Of(source));
        }

        public static Subject Of(RecipeList list, IReadOnlyList<RecipeSource> recipes)
        {
            ArgumentNullException.ThrowIfNull(list);
            return new Subject(list.Name, list.Path, true, () => RecipeFiles.Of(list, recipes));
        }
    }
}
