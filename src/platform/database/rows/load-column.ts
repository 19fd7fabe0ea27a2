/** The load of a figure or a standing in the database, where 0 stands for the run's own load. */
export const columnOfLoad = (load: number | null): number => load ?? 0;
export const loadOfColumn = (load: number): number | null => (load === 0 ? null : load);
