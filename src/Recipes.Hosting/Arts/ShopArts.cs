using Recipes.Files;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Arts;

/// <summary>A shop's arts and their work files.</summary>
public static class ShopArts
{
    /// <summary>Reads a customer's file, which is an original from then on.</summary>
    /// <exception cref="ProblemException">R3001 missing; R3002 unreadable; R3003 empty.</exception>
    public static ArtFile ReadArt(this Shop shop, string path)
    {
        ArgumentNullException.ThrowIfNull(shop);
        if (shop.WorkFolder is { } folder)
        {
            Originals.AddWorkFolder(folder);
        }

        return shop.Timings.Measure("read", () => ArtFile.Read(path));
    }

    /// <summary>Where an art's work file lies.</summary>
    public static string WorkPathOf(this Shop shop, string artPath)
    {
        ArgumentNullException.ThrowIfNull(shop);
        return WorkPath.Of(artPath, shop.WorkFolder);
    }

    /// <summary>Opens an art's work file, or gives null where there is none.</summary>
    /// <exception cref="ProblemException">R3009, R3010 it can't be read; R6003 it is in use.</exception>
    public static WorkFile? OpenWork(this Shop shop, string artPath, bool forWriting = false)
    {
        ArgumentNullException.ThrowIfNull(shop);
        return shop.Timings.Measure("work file", () => WorkFile.Open(shop.WorkPathOf(artPath), forWriting));
    }

    /// <summary>Opens an art's work file where there must be one.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="forWriting">True: it will be changed.</param>
    /// <param name="otherwise">The problem's code where there is none.</param>
    /// <param name="message">What that means here.</param>
    /// <exception cref="ProblemException">R3001 no art either; the code given; R3009, R3010 it can't be read; R6003 it is in use.</exception>
    public static WorkFile NeedWork(this Shop shop, string artPath, bool forWriting, Code otherwise, string message)
    {
        ArgumentNullException.ThrowIfNull(shop);
        if (!File.Exists(artPath) && !File.Exists(shop.WorkPathOf(artPath)))
        {
            throw new ProblemException(Codes.ArtMissing, $"There is no file {artPath}.", "Check the path.", new Place(artPath));
        }

        return shop.OpenWork(artPath, forWriting)
            ?? throw new ProblemException(otherwise, message, "'recipes commit' keeps a recipe's result as a step.", new Place(artPath));
    }

    /// <summary>The current state of an art.</summary>
    /// <exception cref="ProblemException">R3 codes: it can't be decoded.</exception>
    public static ArtState FindState(this Shop shop, ArtFile file, WorkFile? work, ChosenSetup setup, bool original, WorkerPool workers)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(file);
        return shop.Progress.During($"Reading {Path.GetFileName(file.Path)}", () =>
            shop.Timings.Measure("decode", () => ArtState.Find(file, work, setup, original, workers, shop.Cancel)));
    }
}
